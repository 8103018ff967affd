/*
 * Memory access for wasm2c's output, in place of its own: the arena is one static array, so its base and its bound are
 * constants, and an aligned word is read as a word. Only the accesses that the controller makes are here: another one does not
 * compile.
 *
 * An access is a base, computed, and an offset, a constant. The array goes on for ARENA_PAD bytes behind the arena, more than
 * any offset, so what is checked is the base alone: once for all the fields of a record, since the compiler sees that it is
 * the same check. It traps for every base outside the arena, and no access leaves the array.
 *
 * Source of the layout: WebAssembly core specification, "Memory Instructions"; the controller keeps every f32, u32 and u16
 * aligned to its size (the sanitizers of the native board watch it).
 */
#ifndef POSEWRIGHT_WASM_ACCESS_H
#define POSEWRIGHT_WASM_ACCESS_H

typedef u32 __attribute__((may_alias)) access_u32;
typedef u16 __attribute__((may_alias)) access_u16;
typedef f32 __attribute__((may_alias)) access_f32;

/** Traps unless the base lies in the arena; an offset beyond the pad would not compile. */
#define ACCESS_CHECK(base, offset, n)                                                         \
  if (!__builtin_constant_p(offset) || (offset) + (n) > ARENA_PAD) access_offset_too_large(); \
  if (UNLIKELY((base) >= ARENA_BYTES)) wasm_rt_trap(WASM_RT_TRAP_OOB)

/** Never linked: a call that is left is an access whose offset does not fit. */
void access_offset_too_large(void);

#define ACCESS_INLINE static inline __attribute__((always_inline))

#define ACCESS_LOAD(name, type, result)                                                       \
  ACCESS_INLINE result name##_default32(wasm_rt_memory_t* memory, u32 base, u32 offset) {     \
    (void)memory;                                                                             \
    ACCESS_CHECK(base, offset, sizeof(type));                                                 \
    return (result)*(const type*)(wasm_arena + base + offset);                                \
  }
#define ACCESS_STORE(name, type, value_type)                                                  \
  ACCESS_INLINE void name##_default32(wasm_rt_memory_t* memory, u32 base, u32 offset, value_type value) { \
    (void)memory;                                                                             \
    ACCESS_CHECK(base, offset, sizeof(type));                                                 \
    *(type*)(wasm_arena + base + offset) = (type)value;                                       \
  }

ACCESS_LOAD(i32_load, access_u32, u32)
ACCESS_LOAD(i32_load8_u, u8, u32)
ACCESS_LOAD(i32_load16_u, access_u16, u32)
ACCESS_LOAD(i64_load32_u, access_u32, u64)

ACCESS_INLINE u32 i32_load16_s_default32(wasm_rt_memory_t* memory, u32 base, u32 offset) {
  return (u32)(s32)(s16)i32_load16_u_default32(memory, base, offset);
}

ACCESS_STORE(i32_store, access_u32, u32)
ACCESS_STORE(i32_store8, u8, u32)
ACCESS_STORE(i32_store16, access_u16, u32)

#if defined(__arm__) && defined(__ARM_FP)
/* Left to itself the compiler brings half of the floats in by way of a core register: two instructions for one. */
ACCESS_INLINE f32 f32_load_default32(wasm_rt_memory_t* memory, u32 base, u32 offset) {
  (void)memory;
  ACCESS_CHECK(base, offset, 4u);
  f32 value;
  __asm("vldr %0, %1" : "=t"(value) : "Uv"(*(const access_f32*)(wasm_arena + base + offset)));
  return value;
}
ACCESS_INLINE void f32_store_default32(wasm_rt_memory_t* memory, u32 base, u32 offset, f32 value) {
  (void)memory;
  ACCESS_CHECK(base, offset, 4u);
  __asm("vstr %1, %0" : "=Uv"(*(access_f32*)(wasm_arena + base + offset)) : "t"(value));
}
#else
ACCESS_LOAD(f32_load, access_f32, f32)
ACCESS_STORE(f32_store, access_f32, f32)
#endif

/** The compiler joins two stores of 0 to one: they are aligned as words, not as a double word. */
ACCESS_INLINE void i64_store_default32(wasm_rt_memory_t* memory, u32 base, u32 offset, u64 value) {
  i32_store_default32(memory, base, offset, (u32)value);
  i32_store_default32(memory, base, offset + 4u, (u32)(value >> 32));
}

#endif
