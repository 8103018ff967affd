/*
 * See script.h. An operation's byte is followed by what it takes; a script that ends too early ends in zeros.
 *   TICKS n                    n + 1 ticks pass
 *   LONG n                     8 (n + 1) ticks pass
 *   BYTES n, bytes             as they are
 *   FRAME type n, payload      with sequence, checksum and stuffing as they should be
 *   POSE ahead, mask (2), 6 of the pose, one for each joint named; all of these signed
 *                              ahead in units of 4 ms, mm in quarters, rad in hundredths
 *   IMAGE rig n, n times offset (2) and byte
 *                              the rig with so many bytes changed, its checksum right; 128 bytes a tick
 *   STOP open, RESET why, LATE units of 64 us, LINE units of 16 bytes a tick (0: any number), POWER bytes (2)
 *   SUPPLY units of 64 mV (0: not measured), WEAR bytes (2) that the flash still takes (65535: any number)
 */
#include "script.h"

#include <string.h>

#include "inprocess.h"
#include "rigs.h"
#include "slots.h"

#define FRAME_MOST 252u
#define CHUNK_BYTES 128u
enum { BEGIN = 2, CHUNK = 3, COMMIT = 4, POSE = 5 };

uint16_t script_crc16(const uint8_t* from, size_t n) {
  uint32_t crc = 0xffff;
  for (size_t i = 0; i < n; i++) {
    crc ^= (uint32_t)from[i] << 8;
    for (int bit = 0; bit < 8; bit++) crc = crc & 0x8000u ? crc << 1 ^ 0x1021u : crc << 1;
  }
  return (uint16_t)crc;
}

/** Consistent overhead byte stuffing of fewer than 254 bytes, and the zero that ends it. */
static void stuff(const uint8_t* from, size_t n) {
  uint8_t to[FRAME_MOST + 2];
  size_t code = 0;
  for (size_t i = 0; i < n; i++) {
    to[i + 1] = from[i];
    if (from[i] != 0) continue;
    to[code] = (uint8_t)(i + 1 - code);
    code = i + 1;
  }
  to[code] = (uint8_t)(n + 1 - code);
  to[n + 1] = 0;
  board_hears(to, n + 2);
}

void script_frame(struct script* script, uint8_t type, const uint8_t* payload, size_t n) {
  uint8_t raw[FRAME_MOST] = {type, script->sequence++};
  if (n > 0) memcpy(raw + 2, payload, n);
  const uint16_t crc = script_crc16(raw, n + 2);
  raw[n + 2] = (uint8_t)crc;
  raw[n + 3] = (uint8_t)(crc >> 8);
  stuff(raw, n + 4);
}

static uint8_t byte(struct script* script) { return script->at < script->end ? *script->at++ : 0; }
static uint32_t word(struct script* script) {
  const uint32_t low = byte(script);
  return low | (uint32_t)byte(script) << 8;
}
static float small(struct script* script, float unit) { return (float)(int8_t)byte(script) * unit; }

/** Up to n bytes from the script itself. */
static const uint8_t* stretch(struct script* script, size_t* n) {
  const uint8_t* from = script->at;
  const size_t left = (size_t)(script->end - script->at);
  if (*n > left) *n = left;
  script->at += *n;
  return from;
}

static void send_pose(struct script* script, uint32_t now_us) {
  uint8_t payload[8 + 4 * 22] = {0};
  const uint32_t at_us = now_us + (uint32_t)((int8_t)byte(script) * 4000);
  const uint32_t mask = word(script);
  memcpy(payload, &at_us, 4);
  payload[4] = (uint8_t)mask;
  payload[5] = (uint8_t)(mask >> 8);
  size_t n = 8;
  for (int i = 0; i < 6 + __builtin_popcount(mask); i++, n += 4) {
    const float value = small(script, i < 3 ? 0.25f : 0.01f);
    memcpy(payload + n, &value, 4);
  }
  script_frame(script, POSE, payload, n);
}

static void begin_image(struct script* script) {
  const unsigned rig = byte(script) % RIGS;
  script->image_bytes = rig_bytes[rig];
  memcpy(script->image, rig_images[rig], script->image_bytes);
  const unsigned changes = byte(script) % 16u;
  for (unsigned i = 0; i < changes; i++) {
    const uint32_t at = word(script) % script->image_bytes;
    script->image[at] = byte(script);
  }
  const uint32_t crc = slots_crc32(0, script->image + IMAGE_CRC + 4, script->image_bytes - IMAGE_CRC - 4);
  memcpy(script->image + IMAGE_CRC, &crc, 4);
  const uint8_t length[2] = {(uint8_t)script->image_bytes, (uint8_t)(script->image_bytes >> 8)};
  script_frame(script, BEGIN, length, 2);
  script->image_at = 0;
  script->ticks = 1;
}

/** The next piece of the image on its way; false when there is none. */
static bool send_image(struct script* script) {
  if (script->image_bytes == 0) return false;
  script->ticks = 1;
  const uint32_t left = script->image_bytes - script->image_at;
  if (left == 0) {
    script->image_bytes = 0;
    script_frame(script, COMMIT, NULL, 0);
    return true;
  }
  const uint32_t n = left < CHUNK_BYTES ? left : CHUNK_BYTES;
  uint8_t payload[2 + CHUNK_BYTES] = {(uint8_t)script->image_at, (uint8_t)(script->image_at >> 8)};
  memcpy(payload + 2, script->image + script->image_at, n);
  script_frame(script, CHUNK, payload, 2 + n);
  script->image_at += n;
  return true;
}

static void operate(struct script* script, uint32_t now_us) {
  size_t n;
  uint8_t type;
  const uint8_t* from;
  switch ((enum script_operation)(byte(script) % SCRIPT_OPERATIONS)) {
    case SCRIPT_TICKS: script->ticks = byte(script) + 1u; break;
    case SCRIPT_LONG: script->ticks = 8u * (byte(script) + 1u); break;
    case SCRIPT_BYTES:
      n = byte(script);
      from = stretch(script, &n);
      board_hears(from, n);
      break;
    case SCRIPT_FRAME:
      type = byte(script);
      n = byte(script) % (FRAME_MOST - 4u);
      from = stretch(script, &n);
      script_frame(script, type, from, n);
      break;
    case SCRIPT_POSE: send_pose(script, now_us); break;
    case SCRIPT_IMAGE: begin_image(script); break;
    case SCRIPT_STOP: board_sees_stop(byte(script) & 1); break;
    case SCRIPT_RESET: board_resets((enum board_reset)(byte(script) % 3u)); break;
    case SCRIPT_LATE: board_takes_us(64u * byte(script)); break;
    case SCRIPT_LINE: board_line_takes(16u * byte(script)); break;
    case SCRIPT_POWER: board_power_fails_after((long)word(script)); break;
    case SCRIPT_SUPPLY: board_supplies_mv(64u * byte(script)); break;
    case SCRIPT_WEAR: board_flash_wears_out_after(word(script)); break;
    case SCRIPT_OPERATIONS: break;
  }
}

void script_begin(struct script* script, const uint8_t* from, size_t n) {
  *script = (struct script){.at = from, .end = from + n};
}

bool script_step(struct script* script, uint32_t now_us) {
  for (;;) {
    if (script->ticks > 0) {
      script->ticks--;
      return true;
    }
    if (send_image(script)) continue;
    if (script->at == script->end) return false;
    operate(script, now_us);
  }
}
