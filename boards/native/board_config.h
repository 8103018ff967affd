/* This machine. Numbers: board.h. */
#define BOARD_KIND 3u
#define BOARD_FIRST_PIN 2u
/* few.json makes a board with fewer. */
#ifndef BOARD_PINS
#define BOARD_PINS 16u
#endif
#define BOARD_SLOT_BYTES 4096u
#define BOARD_PROGRAM_BYTES 1u
/* The fuzzer's have fewer: it starts from a blank flash many times a second. */
#ifndef BOARD_STORE_PAGES
#define BOARD_STORE_PAGES 2048u
#endif
#define BOARD_STORE_SECTOR_PAGES 16u
#define BOARD_WATCHDOG_MS 500u
#define BOARD_BOOTS 0
