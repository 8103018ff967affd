/*
 * Rig images in the last two sectors, nights in the pages before them, of the flash that the program runs from. While the flash is spoken to directly nothing may be
 * read from it: that code is in RAM, calls nothing outside it, and runs with interrupts off. Commands: JEDEC serial NOR flash
 * as in W25Q16JV's data sheet, section 8 (06h, 05h, 20h, 02h, 4bh). A flash that never answers ends in the watchdog.
 */
#include <string.h>

#include "board.h"
#include "layout.h"
#include "pico.h"

#define IN_RAM __attribute__((section(".ramcode"), noinline))
#define WRITE_ENABLE 0x06u
#define READ_STATUS 0x05u
#define STATUS_BUSY 1u
#define ERASE_SECTOR 0x20u
#define PROGRAM_PAGE 0x02u
#define READ_ID 0x4bu
#define READ_ID_DUMMIES 4u
#define SECTOR_BYTES 4096u
_Static_assert(BOARD_SLOT_BYTES == SECTOR_BYTES && BOARD_STORE_SECTOR_PAGES * PAGE_BYTES == SECTOR_BYTES, "what is erased at once");
#define SLOTS_AT (PICO_FLASH_BYTES - 2u * BOARD_SLOT_BYTES)
/** A sector's erasure takes up to 400 ms, a page 3 ms (W25Q16JV, section 9.6). */
#define ERASE_MOST_US 1000000u

/** Behind the 128 KiB that link.ld leaves to the program. */
#define STORE_AT (128u * 1024u)
_Static_assert(STORE_AT + BOARD_STORE_PAGES * PAGE_BYTES == SLOTS_AT, "the pages end where the slots begin");

extern const uint8_t slots_start[], store_start[];

/** Exchanges one byte. One at a time: the chip select is held by hand, so pauses do no harm. */
static IN_RAM uint8_t exchange(uint32_t byte) {
  while ((SSI_SR & SSI_SR_TFNF) == 0) {
  }
  SSI_DR0 = byte;
  while ((SSI_SR & SSI_SR_RFNE) == 0) {
  }
  return (uint8_t)SSI_DR0;
}

static IN_RAM void command(uint32_t code) {
  QSPI_SS_CTRL = QSPI_SS_LOW;
  exchange(code);
}

static IN_RAM void done(void) { QSPI_SS_CTRL = QSPI_SS_HIGH; }

/** The serial interface sends bytes as they are given; the program cannot be read from the flash meanwhile. */
static IN_RAM void direct(void) {
  SSI_SSIENR = 0;
  SSI_CTRLR0 = SSI_CTRLR0_BYTES;
  SSI_SER = 1;
  SSI_SSIENR = 1;
}

/** Back to what boot2.S set up. */
static IN_RAM void mapped(void) {
  QSPI_SS_CTRL = QSPI_SS_NORMAL;
  SSI_SSIENR = 0;
  SSI_CTRLR0 = SSI_CTRLR0_XIP;
  SSI_SSIENR = 1;
  XIP_FLUSH = 1;
  (void)XIP_FLUSH; /* Answers when the cache is flushed (data sheet 2.6.3.2). */
}

IN_RAM void flash_id(uint8_t id[FLASH_ID_BYTES]) {
  const uint32_t before = interrupts_off();
  direct();
  command(READ_ID);
  for (uint32_t i = 0; i < READ_ID_DUMMIES; i++) exchange(0);
  for (uint32_t i = 0; i < FLASH_ID_BYTES; i++) id[i] = exchange(0);
  done();
  mapped();
  interrupts_restore(before);
}

/** One command that changes the flash, at an address, with n bytes of data in RAM; then waits until the flash is idle. */
static IN_RAM void change(uint32_t code, uint32_t at, const uint8_t* from, size_t n) {
  const uint32_t before = interrupts_off();
  direct();
  command(WRITE_ENABLE);
  done();
  command(code);
  for (int shift = 16; shift >= 0; shift -= 8) exchange(at >> shift & 0xffu);
  for (size_t i = 0; i < n; i++) exchange(from[i]);
  done();
  uint8_t status;
  do {
    command(READ_STATUS);
    status = exchange(0);
    done();
  } while ((status & STATUS_BUSY) != 0);
  mapped();
  interrupts_restore(before);
}

const uint8_t* board_slot(unsigned slot) { return slots_start + slot * BOARD_SLOT_BYTES; }

/** Erases the sector at `at` of the flash, which is mapped at `mapped_at`. */
static bool erase(uint32_t at, const uint8_t* mapped_at) {
  watchdog_reload(ERASE_MOST_US);
  change(ERASE_SECTOR, at, NULL, 0);
  board_feed();
  for (uint32_t i = 0; i < SECTOR_BYTES; i++)
    if (mapped_at[i] != 0xff) return false;
  return true;
}

bool board_slot_erase(unsigned slot) {
  return slot <= 1 && erase(SLOTS_AT + slot * BOARD_SLOT_BYTES, board_slot(slot));
}

bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n) {
  if (slot > 1 || offset > BOARD_SLOT_BYTES || n > BOARD_SLOT_BYTES - offset) return false;
  if (offset % BOARD_PROGRAM_BYTES != 0 || n % BOARD_PROGRAM_BYTES != 0) return false;
  static uint8_t page[BOARD_PROGRAM_BYTES];
  for (size_t done_bytes = 0; done_bytes < n; done_bytes += BOARD_PROGRAM_BYTES) {
    /* Into RAM first: what is to be written may lie in the flash. */
    memcpy(page, from + done_bytes, BOARD_PROGRAM_BYTES);
    change(PROGRAM_PAGE, SLOTS_AT + slot * BOARD_SLOT_BYTES + offset + done_bytes, page, BOARD_PROGRAM_BYTES);
  }
  return memcmp(board_slot(slot) + offset, from, n) == 0;
}

const uint8_t* board_page(uint32_t page) { return store_start + page * PAGE_BYTES; }

bool board_page_erase(uint32_t page) {
  return page < BOARD_STORE_PAGES && page % BOARD_STORE_SECTOR_PAGES == 0 && erase(STORE_AT + page * PAGE_BYTES, board_page(page));
}

bool board_page_program(uint32_t page, const uint8_t* from) {
  if (page >= BOARD_STORE_PAGES) return false;
  change(PROGRAM_PAGE, STORE_AT + page * PAGE_BYTES, from, PAGE_BYTES);
  return memcmp(board_page(page), from, PAGE_BYTES) == 0;
}
