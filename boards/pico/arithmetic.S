/*
 * Products and sums of f32 that come and go as normal numbers, by hand: half of a tick's time is spent here. Everything else goes to
 * float.c, which has the rules. Names: Run-time ABI for the Arm Architecture (IHI 0043), section 5.1.2; r0 op r1 into r0,
 * r2, r3 and r12 are free to use.
 */
  .syntax unified
  .cpu cortex-m0plus
  .thumb

/* Puts the exponent of a number into a register, the flags as it is. */
.macro exponent to, from
  lsls \to, \from, #1
  lsrs \to, \to, #24
.endm

/* r1 = r0 >> by, rounded to nearest, ties to even: the highest bit shifted out is in the carry, the others are looked at then. */
.macro round by
  lsrs r1, r0, #\by
  bcc 9f
  lsls r0, r0, #(33 - \by)
  bne 8f
  movs r0, #1
  bics r0, r1
  subs r1, r1, r0
8:
  adds r1, r1, #1
9:
.endm

  .section .text.__aeabi_fmul, "ax"
  .global __aeabi_fmul
  .type __aeabi_fmul, %function
  .thumb_func
  .balign 4
__aeabi_fmul:
  exponent r2, r0
  subs r3, r2, #1
  cmp r3, #253
  bhi 2f
  exponent r3, r1
  adds r2, r2, r3
  subs r3, r3, #1
  cmp r3, #253
  bhi 2f
  subs r2, r2, #128 /* exponent - 1 of a product below 2: 0 to 252 */
  cmp r2, #252
  bhi 2f
  push {r4, r5, r6}
  movs r3, r0
  eors r3, r1
  lsrs r3, r3, #31
  lsls r3, r3, #31
  lsls r2, r2, #23
  adds r3, r3, r2 /* sign and exponent of the result */
  /* Significands of 24 bits as 16 high and 8 low ones. */
  uxtb r4, r0
  uxtb r5, r1
  movs r6, #0x80
  lsls r6, r6, #8
  lsls r0, r0, #8
  lsrs r0, r0, #16
  orrs r0, r6
  lsls r1, r1, #8
  lsrs r1, r1, #16
  orrs r1, r6
  movs r6, r4
  muls r6, r5 /* low x low */
  muls r4, r1
  muls r5, r0
  muls r0, r1 /* high x high */
  adds r4, r4, r5
  lsrs r5, r6, #8
  adds r4, r4, r5
  lsrs r5, r4, #8
  adds r0, r0, r5 /* the upper 32 bits of 48, the leading one at 31 or 30 */
  orrs r4, r6
  lsls r4, r4, #24 /* what is below them */
  beq 1f
  movs r4, #1
  orrs r0, r4
1:
  cmp r0, #0
  bmi 3f
  round 7
  pop {r4, r5, r6}
  adds r0, r1, r3
  bx lr
3:
  movs r4, #1
  lsls r4, r4, #23
  adds r3, r3, r4
  round 8
  pop {r4, r5, r6}
  adds r0, r1, r3
  bx lr
2:
  /* Zero times a finite number is a zero. */
  lsls r2, r0, #1
  lsls r3, r1, #1
  beq 4f
  cmp r2, #0
  bne 5f
  movs r2, r3
4:
  lsrs r2, r2, #24
  cmp r2, #255
  beq 5f
  eors r0, r1
  lsrs r0, r0, #31
  lsls r0, r0, #31
  bx lr
5:
  ldr r2, =float_multiply
  bx r2
  .ltorg

  .section .text.__aeabi_fadd, "ax"
  .global __aeabi_fsub
  .type __aeabi_fsub, %function
  .thumb_func
  .balign 4
__aeabi_fsub:
  movs r2, #1
  lsls r2, r2, #31
  eors r1, r2
  .global __aeabi_fadd
  .type __aeabi_fadd, %function
  .thumb_func
__aeabi_fadd:
  /* The greater magnitude into r0. */
  lsls r2, r0, #1
  lsls r3, r1, #1
  cmp r2, r3
  bhs 1f
  movs r2, r0
  movs r0, r1
  movs r1, r2
  exponent r2, r0
  exponent r3, r1
  b 2f
1:
  lsrs r2, r2, #24
  lsrs r3, r3, #24
2:
  beq 5f
  cmp r2, #253
  bhi 6f
  subs r3, r2, r3
  cmp r3, #25
  bhi 7f
  push {r4, r5, r6}
  lsrs r4, r0, #23 /* sign and exponent */
  movs r5, r0
  eors r5, r1
  mov r12, r5
  /* Significands with 7 bits below the last place. */
  movs r6, #1
  lsls r6, r6, #30
  lsls r0, r0, #9
  lsrs r0, r0, #2
  orrs r0, r6
  lsls r1, r1, #9
  lsrs r1, r1, #2
  orrs r1, r6
  movs r5, r1
  lsrs r5, r3
  movs r6, r5
  lsls r6, r3
  cmp r6, r1
  beq 1f
  movs r6, #1 /* something was shifted out */
  orrs r5, r6
1:
  mov r6, r12
  cmp r6, #0
  bmi 3f
  adds r0, r0, r5
  bmi 2f
  subs r4, r4, #1
  round 7
  lsls r0, r4, #23
  adds r0, r0, r1
  pop {r4, r5, r6}
  bx lr
2:
  round 8
  lsls r0, r4, #23
  adds r0, r0, r1
  pop {r4, r5, r6}
  bx lr
3:
  /* Of opposite signs: the leading bit may be anywhere. Exponents from 32 on leave room for that. */
  cmp r2, #32
  blo 4f
  subs r0, r0, r5
  beq 8f
  subs r4, r4, #1
  lsls r0, r0, #1
  bmi 2b
1:
  subs r4, r4, #1
  lsls r0, r0, #1
  bpl 1b
  b 2b
8:
  pop {r4, r5, r6}
7:
  bx lr
4:
  /* Puts the numbers together again: what was shifted out of r0 and r1 is in r4 and r12. */
  lsls r4, r4, #23
  lsls r0, r0, #2
  lsrs r0, r0, #9
  orrs r0, r4
  lsls r1, r1, #2
  lsrs r1, r1, #9
  subs r2, r2, r3
  lsls r2, r2, #23
  orrs r1, r2
  mov r6, r12
  eors r6, r0
  lsrs r6, r6, #31
  lsls r6, r6, #31
  orrs r1, r6
  pop {r4, r5, r6}
  b 6f
5:
  /* Adding a zero changes nothing, but two zeros make a negative one only if both are. */
  lsls r3, r1, #1
  bne 6f
  lsls r3, r0, #1
  bne 7b
  ands r0, r1
  bx lr
6:
  ldr r2, =float_add
  bx r2
  .ltorg
