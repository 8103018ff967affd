/*
 * The firmware over scripts, without a fuzzer:
 *   FILE...                    each of them as it is
 *   mutate SEED ROUNDS FILE... then scripts made of them by a generator of its own, the same for a seed
 *   power                      power lost at every byte of a rig image's writing, into either slot
 * Prints what ran. A promise that is broken ends it with words (inprocess.h).
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "inprocess.h"
#include "script.h"

#define SCRIPT_MOST 4096u

static struct file {
  uint8_t bytes[SCRIPT_MOST];
  size_t n;
} *files;
static unsigned file_count;

static void read_file(const char* path) {
  FILE* file = fopen(path, "rb");
  if (file == NULL) {
    perror(path);
    exit(2);
  }
  files[file_count].n = fread(files[file_count].bytes, 1, SCRIPT_MOST, file);
  file_count++;
  fclose(file);
}

/** Marsaglia's xorshift, 32 bits (Journal of Statistical Software 8(14), 2003). */
static uint32_t state;
static uint32_t below(uint32_t n) {
  state ^= state << 13;
  state ^= state >> 17;
  state ^= state << 5;
  return n == 0 ? 0 : state % n;
}

/** One of the files with parts of another in it, and bytes changed, taken out and cut off. */
static void mutate(struct file* to) {
  *to = files[below(file_count)];
  for (uint32_t changes = below(8); changes > 0; changes--) {
    const struct file* other = &files[below(file_count)];
    const size_t at = below((uint32_t)to->n), from = below((uint32_t)other->n);
    size_t n = below((uint32_t)(other->n - from) + 1);
    if (n > SCRIPT_MOST - at) n = SCRIPT_MOST - at;
    switch (below(5)) {
      case 0: to->bytes[at] ^= (uint8_t)(1u << below(8)); break;
      case 1: to->bytes[at] = (uint8_t)below(256); break;
      case 2: to->n = at; break;
      case 3:
        memmove(to->bytes + at, to->bytes + (at + to->n) / 2, to->n - (at + to->n) / 2);
        break;
      default:
        memcpy(to->bytes + at, other->bytes + from, n);
        if (at + n > to->n) to->n = at + n;
    }
  }
}

/** A rig is stored; then another, and the power goes after `cut` bytes; `lead`: rigs stored before, so that both slots have their turn. */
static bool cut_at(uint32_t cut, unsigned lead) {
  uint8_t script[32] = {0};
  size_t n = 1;
  for (unsigned k = 0; k <= lead; k++)
    n += (size_t)(memcpy(script + n, (const uint8_t[]){SCRIPT_IMAGE, (uint8_t)(k & 1), 0, SCRIPT_TICKS, 1}, 5), 5);
  const uint8_t last[] = {SCRIPT_POWER, (uint8_t)cut, (uint8_t)(cut >> 8), SCRIPT_IMAGE, (uint8_t)(~lead & 1), 0, SCRIPT_TICKS, 4};
  memcpy(script + n, last, sizeof last);
  const uint64_t resets = inprocess_counts.resets;
  inprocess_run(script, n + sizeof last);
  return inprocess_counts.resets != resets;
}

static void power(void) {
  for (unsigned lead = 0; lead < 2; lead++) {
    uint32_t cut = 0;
    while (cut_at(cut, lead)) cut++;
    printf("%" PRIu32 " bytes of a rig image's writing\n", cut);
  }
  printf("%" PRIu64 " old, %" PRIu64 " new\n", inprocess_counts.old_images, inprocess_counts.new_images);
}

int main(int count, char** arguments) {
  const bool mutating = count > 4 && strcmp(arguments[1], "mutate") == 0;
  const int first = mutating ? 4 : 1;
  if (count < 2) return 2;
  if (strcmp(arguments[1], "power") == 0) power();
  else {
    files = calloc((size_t)(count - first), sizeof *files);
    for (int i = first; i < count; i++) read_file(arguments[i]);
    for (unsigned i = 0; i < file_count; i++) inprocess_run(files[i].bytes, files[i].n);
    state = mutating ? (uint32_t)strtoul(arguments[2], NULL, 10) | 1u : 1;
    static struct file made;
    for (long rounds = mutating ? atol(arguments[3]) : 0; rounds > 0; rounds--) {
      mutate(&made);
      inprocess_run(made.bytes, made.n);
    }
  }
  printf("%" PRIu64 " ticks, %" PRIu64 " bytes in, %" PRIu64 " frames out, %" PRIu64 " resets, %" PRIu64 " images not stored, %" PRIu64 " low supplies\n",
         inprocess_counts.ticks, inprocess_counts.bytes, inprocess_counts.frames_out, inprocess_counts.resets,
         inprocess_counts.worn_images, inprocess_counts.low_supplies);
  return 0;
}
