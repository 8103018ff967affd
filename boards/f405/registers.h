/* The registers that are used, by their names in RM0090 (section beside each block) and in the Armv7-M manual (DDI 0403). */
#ifndef POSEWRIGHT_F405_REGISTERS_H
#define POSEWRIGHT_F405_REGISTERS_H

#include <stdint.h>

#define REG(address) (*(volatile uint32_t*)(address))

/* Reset and clock control, section 7.3. */
#define RCC 0x40023800u
#define RCC_CR REG(RCC + 0x00u)
#define RCC_CR_HSEON (1u << 16)
#define RCC_CR_HSERDY (1u << 17)
#define RCC_CR_PLLON (1u << 24)
#define RCC_CR_PLLRDY (1u << 25)
#define RCC_PLLCFGR REG(RCC + 0x04u)
#define RCC_PLLCFGR_SRC_HSE (1u << 22)
#define RCC_CFGR REG(RCC + 0x08u)
#define RCC_CFGR_SW_PLL 2u
#define RCC_CFGR_SWS_MASK (3u << 2)
#define RCC_CFGR_SWS_PLL (2u << 2)
#define RCC_CFGR_PPRE1_4 (5u << 10)
#define RCC_CFGR_PPRE2_2 (4u << 13)
#define RCC_AHB1ENR REG(RCC + 0x30u)
#define RCC_AHB1ENR_GPIOABC 7u
#define RCC_APB1ENR REG(RCC + 0x40u)
#define RCC_APB1ENR_TIM2345 15u
#define RCC_APB2ENR REG(RCC + 0x44u)
#define RCC_APB2ENR_USART1 (1u << 4)
#define RCC_APB2ENR_ADC1 (1u << 8)
#define RCC_CSR REG(RCC + 0x74u)
#define RCC_CSR_RMVF (1u << 24)
#define RCC_CSR_BORRSTF (1u << 25)
#define RCC_CSR_PINRSTF (1u << 26)
#define RCC_CSR_PORRSTF (1u << 27)
#define RCC_CSR_SFTRSTF (1u << 28)
#define RCC_CSR_IWDGRSTF (1u << 29)
#define RCC_CSR_WWDGRSTF (1u << 30)

/* Flash interface, section 3.9. */
#define FLASH 0x40023c00u
#define FLASH_ACR REG(FLASH + 0x00u)
#define FLASH_ACR_5_WAITS 5u
#define FLASH_ACR_PRFTEN (1u << 8)
#define FLASH_ACR_ICEN (1u << 9)
#define FLASH_ACR_DCEN (1u << 10)
#define FLASH_ACR_DCRST (1u << 12)
#define FLASH_KEYR REG(FLASH + 0x04u)
#define FLASH_KEY1 0x45670123u
#define FLASH_KEY2 0xcdef89abu
#define FLASH_SR REG(FLASH + 0x0cu)
#define FLASH_SR_ERRORS 0xf2u /* OPERR WRPERR PGAERR PGPERR PGSERR */
#define FLASH_SR_BSY (1u << 16)
#define FLASH_CR REG(FLASH + 0x10u)
#define FLASH_CR_PG (1u << 0)
#define FLASH_CR_SER (1u << 1)
#define FLASH_CR_SNB_SHIFT 3
#define FLASH_CR_PSIZE_32 (2u << 8) /* needs 2.7 V, section 3.6.2 */
#define FLASH_CR_STRT (1u << 16)
#define FLASH_CR_LOCK (1u << 31)

/* Ports, section 8.4. */
#define GPIOA 0x40020000u
#define GPIOB 0x40020400u
#define GPIOC 0x40020800u
#define GPIO_MODER(port) REG((port) + 0x00u)
#define GPIO_INPUT 0u
#define GPIO_OUTPUT 1u
#define GPIO_ALTERNATE 2u
#define GPIO_ANALOG 3u
#define GPIO_PUPDR(port) REG((port) + 0x0cu)
#define GPIO_PULL_UP 1u
#define GPIO_IDR(port) REG((port) + 0x10u)
#define GPIO_BSRR(port) REG((port) + 0x18u)
#define GPIO_AFR(port, bit) REG((port) + 0x20u + 4u * ((bit) / 8u))

/* General-purpose timers 2 to 5, section 18.4. */
#define TIM2 0x40000000u
#define TIM3 0x40000400u
#define TIM4 0x40000800u
#define TIM5 0x40000c00u
#define TIM_CR1(timer) REG((timer) + 0x00u)
#define TIM_CR1_CEN (1u << 0)
#define TIM_CR1_ARPE (1u << 7)
#define TIM_EGR(timer) REG((timer) + 0x14u)
#define TIM_EGR_UG (1u << 0)
#define TIM_CCMR1(timer) REG((timer) + 0x18u)
#define TIM_CCMR2(timer) REG((timer) + 0x1cu)
#define TIM_CCMR_PWM1_PRELOAD_TWICE 0x6868u /* OCxM 110, OCxPE, both channels */
#define TIM_CCER(timer) REG((timer) + 0x20u)
#define TIM_CCER_ALL 0x1111u
#define TIM_PSC(timer) REG((timer) + 0x28u)
#define TIM_ARR(timer) REG((timer) + 0x2cu)
#define TIM_CCR(timer, channel) REG((timer) + 0x34u + 4u * (channel)) /* channel from 0 */

/* USART1, section 30.6. */
#define USART1 0x40011000u
#define USART_SR REG(USART1 + 0x00u)
#define USART_SR_ORE (1u << 3)
#define USART_SR_RXNE (1u << 5)
#define USART_SR_TXE (1u << 7)
#define USART_DR REG(USART1 + 0x04u)
#define USART_BRR REG(USART1 + 0x08u)
#define USART_CR1 REG(USART1 + 0x0cu)
#define USART_CR1_RE (1u << 2)
#define USART_CR1_TE (1u << 3)
#define USART_CR1_RXNEIE (1u << 5)
#define USART_CR1_UE (1u << 13)

/* Independent watchdog, section 21.4. */
#define IWDG 0x40003000u
#define IWDG_KR REG(IWDG + 0x00u)
#define IWDG_KR_FEED 0xaaaau
#define IWDG_KR_UNLOCK 0x5555u
#define IWDG_KR_START 0xccccu
#define IWDG_PR REG(IWDG + 0x04u)
#define IWDG_PR_32 3u /* a count is 1 ms at 32 kHz */
#define IWDG_RLR REG(IWDG + 0x08u)
#define IWDG_RLR_MOST 0xfffu
#define IWDG_SR REG(IWDG + 0x0cu)

/* Core: DDI 0403, B3.2 (system control), B3.3 (SysTick), B3.4 (interrupts). */
#define SYST_CSR REG(0xe000e010u)
#define SYST_CSR_RUN 7u /* core clock, interrupt, enabled */
#define SYST_RVR REG(0xe000e014u)
#define SYST_CVR REG(0xe000e018u)
#define NVIC_ISER1 REG(0xe000e104u)
#define NVIC_ISER1_USART1 (1u << (37 - 32)) /* position 37, RM0090 table 62 */
#define SCB_ICSR REG(0xe000ed04u)
#define SCB_ICSR_PENDSTCLR (1u << 25)
#define SCB_VTOR REG(0xe000ed08u)
#define SCB_CPACR REG(0xe000ed88u)
#define SCB_CPACR_FPU (0xfu << 20)

/* ADC1, section 13.13. */
#define ADC1 0x40012000u
#define ADC_SR REG(ADC1 + 0x00u)
#define ADC_SR_EOC (1u << 1)
#define ADC_CR2 REG(ADC1 + 0x08u)
#define ADC_CR2_ADON (1u << 0)
#define ADC_CR2_SWSTART (1u << 30)
#define ADC_SMPR1 REG(ADC1 + 0x0cu)
#define ADC_SMPR1_84_CYCLES_10_TO_13 0x924u /* 100b each */
#define ADC_SQR3 REG(ADC1 + 0x34u)
#define ADC_DR REG(ADC1 + 0x4cu)
#define ADC_BITS 12u
#define ADC_CCR REG(ADC1 + 0x304u)
#define ADC_CCR_PRE4 (1u << 16) /* 84 MHz / 4 = 21 MHz; 36 MHz at most (DS8626) */

#endif
