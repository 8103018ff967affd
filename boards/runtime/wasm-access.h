/*
 * Memory access for wasm2c's output, in place of its own: the arena is one static array, so its base and its bound are
 * constants, and an aligned word is read as a word. The compiler turns a check into one comparison. Only the accesses that
 * the controller makes are here: another one does not compile.
 *
 * Source of the layout: WebAssembly core specification, "Memory Instructions"; the controller keeps every f32, u32 and u16
 * aligned to its size (the sanitizers of the native board watch it).
 */
#ifndef POSEWRIGHT_WASM_ACCESS_H
#define POSEWRIGHT_WASM_ACCESS_H

typedef u32 __attribute__((may_alias)) access_u32;
typedef u16 __attribute__((may_alias)) access_u16;
typedef f32 __attribute__((may_alias)) access_f32;

/** Traps unless n bytes at the address lie in the arena. */
#define ACCESS_CHECK(address, n) \
  if (UNLIKELY((u32)(address) > ARENA_BYTES - (n))) wasm_rt_trap(WASM_RT_TRAP_OOB)

#define ACCESS_LOAD(name, type, result)                                             \
  static inline result name##_default32(wasm_rt_memory_t* memory, u32 address) {    \
    (void)memory;                                                                   \
    ACCESS_CHECK(address, sizeof(type));                                            \
    return (result)*(const type*)(wasm_arena + address);                            \
  }
#define ACCESS_STORE(name, type, value_type)                                                       \
  static inline void name##_default32(wasm_rt_memory_t* memory, u32 address, value_type value) {   \
    (void)memory;                                                                                  \
    ACCESS_CHECK(address, sizeof(type));                                                           \
    *(type*)(wasm_arena + address) = (type)value;                                                  \
  }

ACCESS_LOAD(i32_load, access_u32, u32)
ACCESS_LOAD(i32_load8_u, u8, u32)
ACCESS_LOAD(i32_load16_u, access_u16, u32)

static inline u32 i32_load16_s_default32(wasm_rt_memory_t* memory, u32 address) {
  return (u32)(s32)(s16)i32_load16_u_default32(memory, address);
}

ACCESS_STORE(i32_store, access_u32, u32)
ACCESS_STORE(i32_store8, u8, u32)
ACCESS_STORE(i32_store16, access_u16, u32)

#if defined(__arm__) && defined(__ARM_FP)
/* Left to itself the compiler brings half of the floats in by way of a core register: two instructions for one. */
static inline f32 f32_load_default32(wasm_rt_memory_t* memory, u32 address) {
  (void)memory;
  ACCESS_CHECK(address, 4u);
  f32 value;
  __asm("vldr %0, %1" : "=t"(value) : "Uv"(*(const access_f32*)(wasm_arena + address)));
  return value;
}
static inline void f32_store_default32(wasm_rt_memory_t* memory, u32 address, f32 value) {
  (void)memory;
  ACCESS_CHECK(address, 4u);
  __asm("vstr %1, %0" : "=Uv"(*(access_f32*)(wasm_arena + address)) : "t"(value));
}
#else
ACCESS_LOAD(f32_load, access_f32, f32)
ACCESS_STORE(f32_store, access_f32, f32)
#endif

/** The compiler joins two stores of 0 to one: they are aligned as words, not as a double word. */
static inline void i64_store_default32(wasm_rt_memory_t* memory, u32 address, u64 value) {
  i32_store_default32(memory, address, (u32)value);
  i32_store_default32(memory, address + 4, (u32)(value >> 32));
}

#endif
