/*
 * STM32F405, 64 pins. Pin numbers of a rig file, and where they are on the chip (DS8626, table 9, "Alternate function mapping"):
 *
 *   2 PA0  TIM5 channel 1     6 PA5  TIM2 channel 1    10 PC6  TIM3 channel 1    14 PB6  TIM4 channel 1
 *   3 PA1  TIM5 channel 2     7 PB3  TIM2 channel 2    11 PC7  TIM3 channel 2    15 PB7  TIM4 channel 2
 *   4 PA2  TIM5 channel 3     8 PB10 TIM2 channel 3    12 PC8  TIM3 channel 3    16 PB8  TIM4 channel 3
 *   5 PA3  TIM5 channel 4     9 PB11 TIM2 channel 4    13 PC9  TIM3 channel 4    17 PB9  TIM4 channel 4
 *
 *   18 PC0, 19 PC1, 20 PC2, 21 PC3: stop input, power output, and what a night names, any of them; all read analog too. A power output needs a resistor to ground
 *   outside, for it floats until the firmware runs. Lamp: PC4, lit when high.
 *   Link: PA9 sends, PA10 receives (USART1). PA13 and PA14 stay with the debugger.
 *
 * The four servos of a timer share one frame rate: the slowest that any of them asks for.
 */
#define BOARD_KIND 2u
#define BOARD_FIRST_PIN 2u
#define BOARD_PINS 16u
#define BOARD_SLOT_BYTES 16384u
#define BOARD_PROGRAM_BYTES 4u
/* Sectors 6 to 11, of 128 KiB. */
#define BOARD_STORE_PAGES 3072u
#define BOARD_STORE_SECTOR_PAGES 512u
/* By a clock that may be off by half: 340 to 940 ms (DS8626, LSI 17 to 47 kHz). */
#define BOARD_WATCHDOG_MS 500u
#define BOARD_BOOTS 0

/** Crystal. Even, 4 to 26 MHz. Without one that starts the chip's own oscillator is used, good to 1 % at room temperature. */
#define F405_CRYSTAL_HZ 8000000u
#define F405_BAUD 500000u
