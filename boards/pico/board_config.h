/*
 * Raspberry Pi Pico, and other RP2040 boards with a 12 MHz crystal and 2 MiB of flash. Pin numbers are the chip's GPIO numbers:
 *
 *   0 link, sends; 1 link, receives (UART0); neither while a host holds the link open over USB (lines.c)
 *   2 to 17 servos. The two servos of a pair, 2 and 3, 4 and 5, ... 16 and 17, share one frame rate: the slower that is asked for
 *   18 to 22, 26, 27: stop input, power output, and what a night names, any of them; 26 and 27 read analog too; a power output is held low from power-up by its own pull-down
 *   25 lamp
 *   28 measures what the servos are fed with: 10 kOhm from their supply to it, 2.2 kOhm and 100 nF from it to ground, 18.3 V at most.
 *      The resistors are small beside the 100 kOhm of the pin (data sheet 5.5), which so makes 2 % at most; with resistors of 1 %
 *      and a 3.3 V good to 2 % the figure is good to 5 %. Take it before the power switch: a supply that is off is low.
 */
#define BOARD_KIND 1u
#define BOARD_FIRST_PIN 2u
#define BOARD_PINS 16u
/* One erasable sector; the two slots are the last two of the flash. */
#define BOARD_SLOT_BYTES 4096u
#define BOARD_PROGRAM_BYTES 256u
/* What lies between the program's 128 KiB and the slots: 1912 KiB, in sectors of 4 KiB. */
#define BOARD_STORE_PAGES 7648u
#define BOARD_STORE_SECTOR_PAGES 16u
#define BOARD_WATCHDOG_MS 500u

/** A boot message starts the ROM's boot loader: the board is a drive then. */
#define BOARD_BOOTS 1

/*
 * Who the board says it is on USB. The pair is pid.codes' for private tests (1209:0001, pid.codes/1209/0001, from memory): it may not
 * leave the workshop. A board that is given away needs a pair of its own, from usb.org or pid.codes, set here and nowhere else;
 * a host finds the board by its product string, not by the pair.
 */
#define PICO_USB_VENDOR 0x1209u
#define PICO_USB_PRODUCT 0x0001u
#define PICO_USB_MAKER_NAME "posewright"
#define PICO_USB_PRODUCT_NAME "posewright pico"

#define PICO_CRYSTAL_HZ 12000000u
#define PICO_CORE_HZ 125000000u
#define PICO_FLASH_BYTES (2u * 1024u * 1024u)
#define PICO_BAUD 500000u
#define PICO_LAMP 25u
#define PICO_SUPPLY_PIN 28u
#define PICO_SUPPLY_UPPER_OHM 10000u
#define PICO_SUPPLY_LOWER_OHM 2200u
#define PICO_ADC_MV 3300u
