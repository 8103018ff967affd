/*
 * Raspberry Pi Pico, and other RP2040 boards with a 12 MHz crystal and 2 MiB of flash. Pin numbers are the chip's GPIO numbers:
 *
 *   0 link, sends; 1 link, receives (UART0)
 *   2 to 17 servos. The two servos of a pair, 2 and 3, 4 and 5, ... 16 and 17, share one frame rate: the slower that is asked for
 *   18 to 22, 26 to 28: stop input and power output, any of them; a power output is held low from power-up by its own pull-down
 *   25 lamp
 */
#define BOARD_KIND 1u
#define BOARD_FIRST_PIN 2u
#define BOARD_PINS 16u
/* One erasable sector; the two slots are the last two of the flash. */
#define BOARD_SLOT_BYTES 4096u
#define BOARD_PROGRAM_BYTES 256u
#define BOARD_WATCHDOG_MS 500u

#define PICO_CRYSTAL_HZ 12000000u
#define PICO_CORE_HZ 125000000u
#define PICO_FLASH_BYTES (2u * 1024u * 1024u)
#define PICO_BAUD 500000u
#define PICO_LAMP 25u
