/*
 * A slot: the image in pieces of 256 bytes from SLOT_IMAGE_AT on, and before it the head, written last: magic, sequence,
 * length, CRC-32 of these three and the image. A head that is torn, or stands before a torn image, fails its CRC.
 */
#include "slots.h"

#include <string.h>

#include "board.h"
#include "layout.h"

#define SLOT_MAGIC 0x544c5350u /* "PSLT" */
#define SLOT_IMAGE_AT 256u
#define PIECE 256u
#define IMAGE_MOST 1536u
_Static_assert(IMAGE_MOST >= IMAGE_MAX && IMAGE_MOST % PIECE == 0, "any rig image, in whole pieces");

struct head {
  uint32_t magic;
  uint32_t sequence;
  uint32_t length;
  uint32_t crc;
};

uint32_t slots_crc32(uint32_t crc, const uint8_t* from, size_t n) {
  crc = ~crc;
  for (size_t i = 0; i < n; i++) {
    crc ^= from[i];
    for (int bit = 0; bit < 8; bit++) crc = (crc >> 1) ^ (0xedb88320u & (0u - (crc & 1u)));
  }
  return ~crc;
}

static uint32_t crc_of(const struct head* head, const uint8_t* image) {
  const uint32_t crc = slots_crc32(0, (const uint8_t*)head, offsetof(struct head, crc));
  return slots_crc32(crc, image, head->length);
}

static bool read_head(unsigned slot, struct head* head) {
  const uint8_t* at = board_slot(slot);
  memcpy(head, at, sizeof *head);
  return head->magic == SLOT_MAGIC && head->length <= IMAGE_MOST && head->crc == crc_of(head, at + SLOT_IMAGE_AT);
}

/** The slot that counts: the newer of the valid ones; -1 for none. Sequences wrap. */
static int newest(struct head* head) {
  struct head heads[2];
  const bool valid[2] = {read_head(0, &heads[0]), read_head(1, &heads[1])};
  if (!valid[0] && !valid[1]) return -1;
  const int slot = valid[0] && (!valid[1] || (int32_t)(heads[0].sequence - heads[1].sequence) > 0) ? 0 : 1;
  *head = heads[slot];
  return slot;
}

const uint8_t* slots_image(unsigned k, uint32_t* n) {
  struct head head;
  const int first = newest(&head);
  if (first < 0 || k > 1) return NULL;
  const unsigned slot = k == 0 ? (unsigned)first : 1u - (unsigned)first;
  if (!read_head(slot, &head)) return NULL;
  *n = head.length;
  return board_slot(slot) + SLOT_IMAGE_AT;
}

bool slots_store(const uint8_t* image, uint32_t n) {
  static uint8_t piece[PIECE];
  struct head head;
  const int now = newest(&head);
  const unsigned slot = now == 0 ? 1u : 0u;
  const uint32_t sequence = now < 0 ? 1u : head.sequence + 1u;
  if (n > IMAGE_MOST || !board_slot_erase(slot)) return false;
  for (uint32_t at = 0; at < n; at += PIECE) {
    const uint32_t part = n - at < PIECE ? n - at : PIECE;
    memset(piece, 0xff, PIECE);
    memcpy(piece, image + at, part);
    if (!board_slot_program(slot, SLOT_IMAGE_AT + at, piece, PIECE)) return false;
  }
  head = (struct head){.magic = SLOT_MAGIC, .sequence = sequence, .length = n};
  head.crc = crc_of(&head, image);
  memset(piece, 0xff, PIECE);
  memcpy(piece, &head, sizeof head);
  return board_slot_program(slot, 0, piece, PIECE);
}
