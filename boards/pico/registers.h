/*
 * The registers that are used, by their names in the RP2040 data sheet (section beside each block), and the core's, by those
 * of the Armv6-M manual (DDI 0419). Written through the + 0x2000 and + 0x3000 aliases a register has bits set and cleared
 * in one access (section 2.1.2).
 */
#ifndef POSEWRIGHT_PICO_REGISTERS_H
#define POSEWRIGHT_PICO_REGISTERS_H

/* XIP and its serial interface, sections 2.6.3 and 4.10.13. The assembler reads these too. */
#define XIP_BASE 0x10000000
#define SSI_BASE 0x18000000
#define SSI_CTRLR0_OFFSET 0x00
#define SSI_CTRLR1_OFFSET 0x04
#define SSI_SSIENR_OFFSET 0x08
#define SSI_SER_OFFSET 0x10
#define SSI_BAUDR_OFFSET 0x14
#define SSI_SPI_CTRLR0_OFFSET 0xf4
/* An even divider of the core's clock: 31.25 MHz, what every serial flash reads at by command 03h. */
#define SSI_BAUDR_FLASH 4
/* XIP: 32 bits a read (DFS_32 = 31), command and address out, then data in (TMOD = 3, EEPROM read). */
#define SSI_CTRLR0_XIP 0x001f0300
/* Command 03h (XIP_CMD), of 8 bits (INST_L = 2), then 24 address bits (ADDR_L = 6), all on one line (TRANS_TYPE = 0). */
#define SSI_SPI_CTRLR0_XIP 0x03000218
/* Bare transfers: 8 bits (DFS_32 = 7), both ways (TMOD = 0). */
#define SSI_CTRLR0_BYTES 0x00070000
#define VTOR_ADDRESS 0xe000ed08 /* DDI 0419 B3.2.5 */

#ifndef __ASSEMBLER__
#include <stdint.h>

#define REG(address) (*(volatile uint32_t*)(address))
#define SET(reg) (*(volatile uint32_t*)((uintptr_t)&(reg) + 0x2000u))
#define CLEAR(reg) (*(volatile uint32_t*)((uintptr_t)&(reg) + 0x3000u))

#define SSI_CTRLR0 REG(SSI_BASE + SSI_CTRLR0_OFFSET)
#define SSI_CTRLR1 REG(SSI_BASE + SSI_CTRLR1_OFFSET)
#define SSI_SSIENR REG(SSI_BASE + SSI_SSIENR_OFFSET)
#define SSI_SER REG(SSI_BASE + SSI_SER_OFFSET)
#define SSI_BAUDR REG(SSI_BASE + SSI_BAUDR_OFFSET)
#define SSI_SPI_CTRLR0 REG(SSI_BASE + SSI_SPI_CTRLR0_OFFSET)
#define SSI_SR REG(SSI_BASE + 0x28)
#define SSI_SR_TFNF (1u << 1)
#define SSI_SR_RFNE (1u << 3)
#define SSI_DR0 REG(SSI_BASE + 0x60)

/* XIP cache, section 2.6.3.6. */
#define XIP_FLUSH REG(0x14000004u)

/* Resets, section 2.14.3. */
#define RESETS_RESET REG(0x4000c000u)
#define RESETS_RESET_DONE REG(0x4000c008u)
#define RESETS_ADC (1u << 0)
#define RESETS_DMA (1u << 2)
#define RESETS_IO_BANK0 (1u << 5)
#define RESETS_PADS_BANK0 (1u << 8)
#define RESETS_PLL_SYS (1u << 12)
#define RESETS_PLL_USB (1u << 13)
#define RESETS_PWM (1u << 14)
#define RESETS_TIMER (1u << 21)
#define RESETS_UART0 (1u << 22)
#define RESETS_USBCTRL (1u << 24)

/* Power-on state machine, section 2.13.5. */
#define PSM_WDSEL REG(0x40010008u)
#define PSM_ROSC (1u << 0)
#define PSM_XOSC (1u << 1)
#define PSM_ALL 0x1ffffu

/* Chip reset, section 2.12.8. */
#define CHIP_RESET REG(0x40064008u)
#define CHIP_RESET_HAD_POR (1u << 8)
#define CHIP_RESET_HAD_RUN (1u << 16)

/* Crystal oscillator, section 2.16.7. */
#define XOSC_CTRL REG(0x40024000u)
#define XOSC_CTRL_1_15MHZ 0xaa0u
#define XOSC_CTRL_ENABLE (0xfabu << 12)
#define XOSC_STATUS REG(0x40024004u)
#define XOSC_STATUS_STABLE (1u << 31)
#define XOSC_STARTUP REG(0x4002400cu)

/* The PLLs, by their bases: section 2.18.4. */
#define PLL_SYS 0x40028000u
#define PLL_USB 0x4002c000u
#define PLL_CS(pll) REG(pll)
#define PLL_CS_LOCK (1u << 31)
#define PLL_PWR(pll) REG((pll) + 0x04u)
#define PLL_PWR_PD (1u << 0)
#define PLL_PWR_POSTDIVPD (1u << 3)
#define PLL_PWR_VCOPD (1u << 5)
#define PLL_FBDIV(pll) REG((pll) + 0x08u)
#define PLL_PRIM(pll) REG((pll) + 0x0cu)
#define PLL_PRIM_POSTDIV1_SHIFT 16
#define PLL_PRIM_POSTDIV2_SHIFT 12

/* Clocks, section 2.15.7. */
#define CLK_REF_CTRL REG(0x40008030u)
#define CLK_REF_CTRL_SRC_XOSC 2u
#define CLK_REF_SELECTED REG(0x40008038u)
#define CLK_SYS_CTRL REG(0x4000803cu)
#define CLK_SYS_CTRL_SRC_AUX 1u /* AUXSRC 0: PLL_SYS */
#define CLK_SYS_SELECTED REG(0x40008044u)
#define CLK_PERI_CTRL REG(0x40008048u)
#define CLK_PERI_CTRL_ENABLE (1u << 11) /* AUXSRC 0: clk_sys */
#define CLK_USB_CTRL REG(0x40008054u)
#define CLK_USB_CTRL_ENABLE (1u << 11) /* AUXSRC 0: PLL_USB */
#define CLK_ADC_CTRL REG(0x40008060u)
#define CLK_ADC_CTRL_ENABLE (1u << 11) /* AUXSRC 0: PLL_USB */

/* Pins: sections 2.19.6.1 (IO_BANK0) and 2.19.6.3 (PADS_BANK0). */
#define GPIO_CTRL(pin) REG(0x40014004u + 8u * (pin))
#define GPIO_FUNC_UART 2u
#define GPIO_FUNC_PWM 4u
#define GPIO_FUNC_SIO 5u
#define GPIO_FUNC_NONE 31u
#define PAD(pin) REG(0x4001c004u + 4u * (pin))
#define PAD_SCHMITT (1u << 1)
#define PAD_PULL_DOWN (1u << 2)
#define PAD_PULL_UP (1u << 3)
#define PAD_4MA (1u << 4)
#define PAD_INPUT (1u << 6)
#define PAD_OUTPUT_OFF (1u << 7)
/* IO_QSPI, section 2.19.6.2. */
#define QSPI_SS_CTRL REG(0x4001800cu)
#define QSPI_SS_NORMAL 0u
#define QSPI_SS_LOW (2u << 8) /* OUTOVER */
#define QSPI_SS_HIGH (3u << 8)

/* Single-cycle IO, section 2.3.1.7. */
#define SIO_GPIO_IN REG(0xd0000004u)
#define SIO_GPIO_OUT_SET REG(0xd0000014u)
#define SIO_GPIO_OUT_CLR REG(0xd0000018u)
#define SIO_GPIO_OE_SET REG(0xd0000024u)
#define SIO_GPIO_OE_CLR REG(0xd0000028u)
/* The divider, 2.3.1.5: a quotient eight cycles after the divisor was written. */
#define SIO_DIV_UDIVIDEND REG(0xd0000060u)
#define SIO_DIV_UDIVISOR REG(0xd0000064u)
#define SIO_DIV_QUOTIENT REG(0xd0000070u)
#define SIO_DIV_REMAINDER REG(0xd0000074u)

/* UART0, section 4.2.8. */
#define UART_DR REG(0x40034000u)
#define UART_IBRD REG(0x40034024u)
#define UART_FBRD REG(0x40034028u)
#define UART_LCR_H REG(0x4003402cu)
#define UART_LCR_H_8_BITS (3u << 5)
#define UART_LCR_H_FEN (1u << 4)
#define UART_CR REG(0x40034030u)
#define UART_CR_ON (1u << 9 | 1u << 8 | 1u << 0) /* RXE TXE UARTEN */
#define UART_DMACR REG(0x40034048u)
#define UART_DMACR_RX (1u << 0)
#define UART_DMACR_TX (1u << 1)

/* DMA, section 2.5.7; requests: 2.5.3.1. */
#define DMA_READ_ADDR(channel) REG(0x50000000u + 0x40u * (channel))
#define DMA_WRITE_ADDR(channel) REG(0x50000004u + 0x40u * (channel))
#define DMA_TRANS_COUNT(channel) REG(0x50000008u + 0x40u * (channel))
#define DMA_CTRL(channel) REG(0x50000010u + 0x40u * (channel)) /* AL1_CTRL: starts nothing */
#define DMA_TRANS_COUNT_TRIG(channel) REG(0x5000001cu + 0x40u * (channel))
#define DMA_CTRL_EN (1u << 0)
#define DMA_CTRL_INCR_READ (1u << 4)
#define DMA_CTRL_INCR_WRITE (1u << 5)
#define DMA_CTRL_RING_SIZE_SHIFT 6
#define DMA_CTRL_RING_WRITE (1u << 10)
#define DMA_CTRL_CHAIN_TO_SHIFT 11
#define DMA_CTRL_TREQ_SHIFT 15
#define DMA_CTRL_BUSY (1u << 24)
#define DMA_INTE0 REG(0x50000404u)
#define DMA_INTS0 REG(0x5000040cu)
#define DREQ_UART0_TX 20u
#define DREQ_UART0_RX 21u

/*
 * USB: its memory (section 4.1.2.5), then its registers (4.1.4). Endpoint n has a control word, which endpoint 0 lacks, and a buffer
 * control word for each direction. Bits of SIE_STATUS and BUFF_STATUS are cleared by writing ones.
 */
#define USB_DPRAM 0x50100000u
#define USB_DPRAM_WORDS_END 0x180u
enum { USB_IN, USB_OUT };
#define USB_SETUP(word) REG(USB_DPRAM + 4u * (word))
#define USB_ENDPOINT(n, way) REG(USB_DPRAM + 8u * (n) + 4u * (way))
#define USB_ENDPOINT_ENABLE (1u << 31)
#define USB_ENDPOINT_INTERRUPT (1u << 29) /* after every buffer */
#define USB_ENDPOINT_BULK (2u << 26)
#define USB_ENDPOINT_INTERRUPT_TYPE (3u << 26)
#define USB_BUFFER(n, way) REG(USB_DPRAM + 0x80u + 8u * (n) + 4u * (way))
#define USB_BUFFER_FULL (1u << 15)
#define USB_BUFFER_DATA1 (1u << 13)
#define USB_BUFFER_STALL (1u << 11)
#define USB_BUFFER_AVAILABLE (1u << 10)
#define USB_BUFFER_LENGTH 0x3ffu
#define USB_EP0_BUFFER_AT 0x100u
#define USB_ADDR_ENDP REG(0x50110000u)
#define USB_MAIN_CTRL REG(0x50110040u)
#define USB_MAIN_CTRL_ENABLE (1u << 0)
#define USB_SOF_RD REG(0x50110048u) /* reading it ends its interrupt */
#define USB_SIE_CTRL REG(0x5011004cu)
#define USB_SIE_CTRL_EP0_INTERRUPT (1u << 29)
#define USB_SIE_CTRL_PULLUP (1u << 16)
#define USB_SIE_STATUS REG(0x50110050u)
#define USB_SIE_STATUS_BUS_RESET (1u << 19)
#define USB_SIE_STATUS_SETUP (1u << 17)
#define USB_SIE_STATUS_RESUME (1u << 11)
#define USB_SIE_STATUS_SUSPENDED (1u << 4)
#define USB_BUFF_STATUS REG(0x50110058u)
#define USB_BUFF_BIT(n, way) (1u << (2u * (n) + (way)))
#define USB_EP_STALL_ARM REG(0x50110068u)
#define USB_MUXING REG(0x50110074u)
#define USB_MUXING_PHY (1u << 3 | 1u << 0) /* SOFTCON TO_PHY */
#define USB_PWR REG(0x50110078u)
#define USB_PWR_VBUS (3u << 2) /* VBUS_DETECT, by override */
#define USB_INTE REG(0x50110090u)
#define USB_INTS REG(0x50110098u)
#define USB_INT_SOF (1u << 17)
#define USB_INT_SETUP (1u << 16)
#define USB_INT_RESUME (1u << 15)
#define USB_INT_SUSPEND (1u << 14)
#define USB_INT_BUS_RESET (1u << 12)
#define USB_INT_BUFF_STATUS (1u << 4)

/* Boot ROM, section 2.8.3: 16-bit addresses of its table of functions and of the function that looks one up. */
#define ROM_TABLE_AT 0x14u
#define ROM_LOOKUP_AT 0x18u
#define ROM_USB_BOOT ('U' | 'B' << 8)

/* ADC, section 4.9.6. */
#define ADC_CS REG(0x4004c000u)
#define ADC_CS_EN (1u << 0)
#define ADC_CS_START_ONCE (1u << 2)
#define ADC_CS_READY (1u << 8)
#define ADC_CS_AINSEL_SHIFT 12
#define ADC_RESULT REG(0x4004c004u)
#define ADC_BITS 12u
#define ADC_FIRST_PIN 26u

/* PWM, section 4.5.3. */
#define PWM_DIV(slice) REG(0x40050004u + 20u * (slice))
#define PWM_DIV_INT_SHIFT 4
#define PWM_CC(slice) REG(0x4005000cu + 20u * (slice))
#define PWM_TOP(slice) REG(0x40050010u + 20u * (slice))
#define PWM_EN REG(0x400500a0u)

/* Timer, section 4.6.5. */
#define TIMER_ALARM0 REG(0x40054010u)
#define TIMER_TIMERAWL REG(0x40054028u)
#define TIMER_INTR REG(0x40054034u)
#define TIMER_INTE REG(0x40054038u)

/* Watchdog, section 4.7.6. */
#define WATCHDOG_CTRL REG(0x40058000u)
#define WATCHDOG_CTRL_ENABLE (1u << 30)
#define WATCHDOG_CTRL_PAUSE (7u << 24) /* while a debugger has stopped a core */
#define WATCHDOG_LOAD REG(0x40058004u)
#define WATCHDOG_LOAD_MOST 0xffffffu
#define WATCHDOG_REASON REG(0x40058008u)
#define WATCHDOG_SCRATCH0 REG(0x4005800cu)
#define WATCHDOG_TICK REG(0x4005802cu)
#define WATCHDOG_TICK_ENABLE (1u << 9)

/* Core: DDI 0419 B3.2 and B3.4. Interrupt numbers: data sheet 2.3.2. */
#define SCB_VTOR REG(VTOR_ADDRESS)
#define NVIC_ISER REG(0xe000e100u)
#define IRQ_TIMER_0 0
#define IRQ_USBCTRL 5
#define IRQ_DMA_0 11
#define IRQS 26
#endif

#endif
