/*
 * Rig images in sectors 2 and 3, nights in sectors 6 to 11 (RM0090 3.6). The core stands still while the flash it runs from is busy: up to
 * 0.5 s for one of the small sectors, up to 2 s for one of 128 KiB (DS8626, flash memory programming, 32 bits at a time).
 */
#include <string.h>

#include "board.h"
#include "f405.h"
#include "layout.h"

#define FIRST_SECTOR 2u
#define STORE_SECTOR 6u
#define BLANK 0xffffffffu
/** Beside tick_done: an emulator has no such flash, and a debugger stands in for what is here. */
#define LOCKSTEP __attribute__((section(".lockstep"), noinline))

extern const uint8_t slots_start[], store_start[];

static bool idle(void) {
  for (uint32_t look = 0; look < LOOKS; look++)
    if ((FLASH_SR & FLASH_SR_BSY) == 0) return (FLASH_SR & FLASH_SR_ERRORS) == 0;
  return false;
}

static void open(void) {
  if ((FLASH_CR & FLASH_CR_LOCK) != 0) {
    FLASH_KEYR = FLASH_KEY1;
    FLASH_KEYR = FLASH_KEY2;
  }
  FLASH_SR = FLASH_SR_ERRORS;
}

/** Locks, and forgets what the data cache has of the flash (RM0090 3.4.2). */
static void shut(void) {
  FLASH_CR = FLASH_CR_LOCK;
  FLASH_ACR &= ~FLASH_ACR_DCEN;
  FLASH_ACR |= FLASH_ACR_DCRST;
  FLASH_ACR &= ~FLASH_ACR_DCRST;
  FLASH_ACR |= FLASH_ACR_DCEN;
}

const uint8_t* board_slot(unsigned slot) { return slots_start + slot * BOARD_SLOT_BYTES; }

/** Erases a sector, which is n bytes from `from` on. */
static bool erase(uint32_t sector, const uint8_t* from, uint32_t n) {
  watchdog_span(IWDG_RLR_MOST);
  open();
  bool good = idle();
  if (good) {
    FLASH_CR = FLASH_CR_PSIZE_32 | FLASH_CR_SER | sector << FLASH_CR_SNB_SHIFT;
    FLASH_CR |= FLASH_CR_STRT;
    __asm volatile("dsb" ::: "memory");
    good = idle();
  }
  shut();
  watchdog_span(BOARD_WATCHDOG_MS);
  const volatile uint32_t* at = (const volatile uint32_t*)(uintptr_t)from;
  for (uint32_t i = 0; i < n / 4 && good; i++) good = at[i] == BLANK;
  return good;
}

bool board_slot_erase(unsigned slot) { return slot <= 1 && erase(FIRST_SECTOR + slot, board_slot(slot), BOARD_SLOT_BYTES); }

/** Programs n bytes, whole words, at `where`. */
static bool program(const uint8_t* where, const uint8_t* from, size_t n) {
  volatile uint32_t* to = (volatile uint32_t*)(uintptr_t)where;
  open();
  bool good = idle();
  FLASH_CR = FLASH_CR_PSIZE_32 | FLASH_CR_PG;
  for (size_t i = 0; i < n && good; i += 4) {
    uint32_t word;
    memcpy(&word, from + i, 4);
    to[i / 4] = word;
    __asm volatile("dsb" ::: "memory");
    good = idle();
  }
  shut();
  return good && memcmp(where, from, n) == 0;
}

bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n) {
  if (slot > 1 || offset > BOARD_SLOT_BYTES || n > BOARD_SLOT_BYTES - offset || (offset | n) % 4 != 0) return false;
  return program(board_slot(slot) + offset, from, n);
}

const uint8_t* board_page(uint32_t page) { return store_start + page * PAGE_BYTES; }

LOCKSTEP bool board_page_erase(uint32_t page) {
  if (page >= BOARD_STORE_PAGES || page % BOARD_STORE_SECTOR_PAGES != 0) return false;
  return erase(STORE_SECTOR + page / BOARD_STORE_SECTOR_PAGES, board_page(page), BOARD_STORE_SECTOR_PAGES * PAGE_BYTES);
}

LOCKSTEP bool board_page_program(uint32_t page, const uint8_t* from) {
  return page < BOARD_STORE_PAGES && program(board_page(page), from, PAGE_BYTES);
}
