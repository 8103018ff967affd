/*
 * The second stage: 252 bytes and their CRC-32/MPEG-2, the first of the flash. The chip's boot ROM copies it to the end of RAM,
 * checks the sum and calls it, with the flash in no mode (data sheet 2.8.1.2 and 2.8.1.3). It has the flash read by the plain
 * command 03h, which every serial flash knows and which leaves no state behind, and starts the program by its vectors.
 */
#include "registers.h"

  .syntax unified
  .cpu cortex-m0plus
  .thumb
  .section .boot2, "ax"

  ldr r3, =SSI_BASE
  movs r0, #0
  str r0, [r3, #SSI_SSIENR_OFFSET]
  movs r1, #SSI_BAUDR_FLASH
  str r1, [r3, #SSI_BAUDR_OFFSET]
  ldr r1, =SSI_CTRLR0_XIP
  str r1, [r3, #SSI_CTRLR0_OFFSET]
  str r0, [r3, #SSI_CTRLR1_OFFSET] /* one word a read */
  ldr r1, =SSI_SPI_CTRLR0_XIP
  ldr r2, =SSI_BASE + SSI_SPI_CTRLR0_OFFSET
  str r1, [r2]
  movs r1, #1
  str r1, [r3, #SSI_SSIENR_OFFSET]

  ldr r0, =XIP_BASE + 256
  ldr r1, =VTOR_ADDRESS
  str r0, [r1]
  ldmia r0!, {r1, r2}
  msr msp, r1
  bx r2
  .ltorg

  .org 252
  .word 0x35c5b51e /* tests/boards/pico.test.ts computes it anew */
