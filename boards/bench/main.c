/*
 * Counts instructions of three solvers on the same poses, in an emulator that takes 1 ns for each (QEMU -icount shift=0): the
 * time of SysTick, at 168 MHz, is the count. The host puts image and poses into bench_data.h and reads the answers from the
 * console (Arm semihosting, IHI 0100: SYS_WRITE0, SYS_EXIT).
 */
#include <math.h>
#include <string.h>

#include "baseline.h"
#include "bench_data.h"
#include "controller.h"
#include "layout.h"
#include "registers.h"

#define SYS_WRITE0 4
#define SYS_EXIT 0x18
#define EXIT_DONE 0x20026
#define EXIT_FAILED 0x20023
#define CORE_MHZ 168u

uint8_t wasm_arena[ARENA_BYTES + ARENA_PAD] __attribute__((aligned(8)));
static w2c_controller controller;
static struct platform platform;
_Static_assert(sizeof(struct leg) == LEG_BYTES, "a leg of the image");

void board_halt(void) __attribute__((noreturn));
void tick_interrupt(void);
void link_interrupt(void);
void tick_interrupt(void) {}
void link_interrupt(void) {}

static void host(int operation, uintptr_t argument) {
  register int r0 __asm("r0") = operation;
  register uintptr_t r1 __asm("r1") = argument;
  __asm volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
}

void board_halt(void) {
  host(SYS_EXIT, EXIT_FAILED);
  for (;;) {
  }
}

void wasm_rt_trap(wasm_rt_trap_t trap) {
  (void)trap;
  board_halt();
}

static void say(const char* name, uint32_t value) {
  char text[48], digits[12];
  size_t n = 0, at = 0;
  while (*name != 0) text[at++] = *name++;
  text[at++] = ' ';
  do digits[n++] = (char)('0' + value % 10);
  while ((value /= 10) != 0);
  while (n > 0) text[at++] = digits[--n];
  text[at++] = '\n';
  text[at] = 0;
  host(SYS_WRITE0, (uintptr_t)text);
}

/** The places the solvers share: poses where the module has them, answers beside each other. */
static float* poses;
static float* module_out;
static uint32_t poses_at;
static float answer[3][6];

__attribute__((noinline)) static bool nothing(uint32_t i) {
  __asm volatile("" : : "r"(i) : "memory");
  return true;
}
__attribute__((noinline)) static bool textbook(uint32_t i) { return solve_textbook(&platform, poses + 6 * i, answer[0]); }
__attribute__((noinline)) static bool kernels(uint32_t i) { return solve_kernels(&platform, poses + 6 * i, answer[1]); }
__attribute__((noinline)) static bool module(uint32_t i) { return w2c_controller_solve_pose(&controller, poses_at + 24 * i); }

/** Instructions of POSES calls. */
static uint32_t count(bool (*solve)(uint32_t)) {
  SYST_RVR = 0xffffff;
  SYST_CVR = 0;
  SYST_CSR = 5; /* core clock, no interrupt */
  const uint32_t from = SYST_CVR;
  for (uint32_t i = 0; i < POSES; i++)
    if (!solve(i)) board_halt();
  const uint32_t cycles = from - SYST_CVR;
  return (uint32_t)((uint64_t)cycles * 1000u / CORE_MHZ);
}

static uint32_t largest_difference_nrad(const float* a, const float* b) {
  float most = 0;
  for (int i = 0; i < 6; i++) most = fmaxf(most, fabsf(a[i] - b[i]));
  return (uint32_t)(most * 1e9f);
}

static void read_platform(const uint8_t* image) {
  memcpy(&platform.crank, image + IMAGE_CRANK, 8);
  memcpy(&platform.rod_end_sin, image + IMAGE_ROD_END_SIN, 4);
  memcpy(platform.mount, image + IMAGE_MOUNT_00, sizeof platform.mount);
  memcpy(platform.leg, image + LEGS_AT, sizeof platform.leg);
  for (unsigned i = 0; i < 6; i++) {
    memcpy(&platform.lo[i], image + JOINTS_AT + i * JOINT_BYTES + JOINT_LO, 4);
    memcpy(&platform.hi[i], image + JOINTS_AT + i * JOINT_BYTES + JOINT_HI, 4);
  }
}

int main(void) {
  wasm2c_controller_instantiate(&controller);
  poses_at = *w2c_controller_poses(&controller);
  poses = (float*)(void*)(wasm_arena + poses_at);
  module_out = (float*)(void*)(wasm_arena + *w2c_controller_out(&controller));
  memcpy(poses, bench_poses, sizeof bench_poses);
  for (unsigned variant = 0; variant < 2; variant++) {
    memcpy(wasm_arena + *w2c_controller_image(&controller), bench_image, sizeof bench_image);
    read_platform(bench_image);
    if (variant == 1) {
      /* Without rod ends. */
      platform.rod_end_sin = 0;
      memset(wasm_arena + *w2c_controller_image(&controller) + IMAGE_ROD_END_SIN, 0, 4);
    }
    w2c_controller_ready(&controller);
    const uint32_t loop = count(nothing);
    say("textbook", count(textbook) - loop);
    say("kernels", count(kernels) - loop);
    say("module", count(module) - loop);
    uint32_t from_textbook = 0, from_kernels = 0;
    for (uint32_t i = 0; i < POSES; i++) {
      if (!textbook(i) || !kernels(i) || !module(i)) board_halt();
      const uint32_t a = largest_difference_nrad(answer[0], module_out), b = largest_difference_nrad(answer[1], module_out);
      from_textbook = a > from_textbook ? a : from_textbook;
      from_kernels = b > from_kernels ? b : from_kernels;
    }
    say("from_textbook", from_textbook);
    say("from_kernels", from_kernels);
  }
  host(SYS_EXIT, EXIT_DONE);
  return 0;
}
