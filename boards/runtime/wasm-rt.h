/*
 * What wasm2c's output needs from its surroundings, for a controller without an operating system: one static arena for the
 * module's memory, checks on every access, a trap that the board handles. Written for this module: no tables, no imports,
 * memory that never grows.
 */
#ifndef POSEWRIGHT_WASM_RT_H
#define POSEWRIGHT_WASM_RT_H

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#ifndef ARENA_BYTES
#error "ARENA_BYTES: the controller's memory in use, as its arena_bytes() says"
#endif

#define WABT_BIG_ENDIAN 0
#define WASM_RT_USE_SEGUE 0
#define WASM_RT_SEGUE_FREE_SEGMENT 0
#define WASM_RT_MEMCHECK_GUARD_PAGES 0
#define WASM_RT_STACK_DEPTH_COUNT 0
#define WASM_RT_MAX_CALL_STACK_DEPTH 0
#define WASM_RT_SANITY_CHECKS 0

#define LIKELY(x) __builtin_expect(!!(x), 1)
#define UNLIKELY(x) __builtin_expect(!!(x), 0)
#define wasm_rt_memcpy memcpy

typedef enum {
  WASM_RT_TRAP_NONE,
  WASM_RT_TRAP_OOB,
  WASM_RT_TRAP_INT_OVERFLOW,
  WASM_RT_TRAP_DIV_BY_ZERO,
  WASM_RT_TRAP_INVALID_CONVERSION,
  WASM_RT_TRAP_UNREACHABLE,
  WASM_RT_TRAP_CALL_INDIRECT,
  WASM_RT_TRAP_EXHAUSTION,
} wasm_rt_trap_t;

typedef enum { WASM_RT_I32, WASM_RT_I64, WASM_RT_F32, WASM_RT_F64, WASM_RT_FUNCREF, WASM_RT_EXTERNREF } wasm_rt_type_t;
typedef const char* wasm_rt_func_type_t;
typedef void (*wasm_rt_function_ptr_t)(void);
typedef struct { void (*fn)(void); } wasm_rt_tailcallee_t;
typedef struct { wasm_rt_func_type_t func_type; wasm_rt_function_ptr_t func; wasm_rt_tailcallee_t func_tailcallee; void* module_instance; } wasm_rt_funcref_t;
typedef void* wasm_rt_externref_t;
typedef struct { wasm_rt_funcref_t* data; uint32_t max_size, size; } wasm_rt_funcref_table_t;
typedef struct { wasm_rt_externref_t* data; uint32_t max_size, size; } wasm_rt_externref_table_t;
typedef struct { uint8_t* data; uint64_t size; } wasm_rt_memory_t;

static const wasm_rt_funcref_t wasm_rt_funcref_null_value = {0};
static const wasm_rt_externref_t wasm_rt_externref_null_value = 0;

/** Behind the arena, so that an access need check its base only: more than any offset the controller uses. */
#define ARENA_PAD 320u

/** The module's memory. */
/** Its alignment is said here too: a compiler that does not know it reads a word at a constant address byte by byte. */
extern uint8_t wasm_arena[ARENA_BYTES + ARENA_PAD] __attribute__((aligned(8)));

/** Something in the module went where it must not. Makes the outputs safe, as the board has it, and does not return. */
void wasm_rt_trap(wasm_rt_trap_t trap) __attribute__((noreturn));

static inline bool wasm_rt_is_initialized(void) { return true; }

static inline void wasm_rt_allocate_memory(wasm_rt_memory_t* memory, uint64_t initial, uint64_t max, bool is64, uint32_t page) {
  (void)initial; (void)max; (void)is64; (void)page;
  memory->data = wasm_arena;
  memory->size = ARENA_BYTES;
}

static inline void wasm_rt_free_memory(wasm_rt_memory_t* memory) { (void)memory; }

#endif
