/* The start of a new board: copy this folder, change its name, fill it in. Numbers: board.h. */
#define BOARD_KIND 255u
#define BOARD_FIRST_PIN 2u
#define BOARD_PINS 16u
#define BOARD_SLOT_BYTES 4096u
#define BOARD_PROGRAM_BYTES 256u
#define BOARD_STORE_PAGES 0u
#define BOARD_STORE_SECTOR_PAGES 0u
#define BOARD_WATCHDOG_MS 500u
#define BOARD_BOOTS 0
