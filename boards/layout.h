/*
 * Where the controller keeps things, in bytes from the beginning of what they are part of: the C side of assembly/layout.ts and of
 * the states in assembly/states.ts. tests/assembly/layout.test.ts reads this file and compares every number with theirs; its head
 * says how a name here is made of one there.
 */
#ifndef POSEWRIGHT_LAYOUT_H
#define POSEWRIGHT_LAYOUT_H

#define JOINTS 16u
/** Ticks a second before the first rig image. */
#define IDLE_HZ 200u

/* Ring. */
#define RING_HEAD 0u
#define RING_TAIL 4u
#define RING_DATA_AT 8u
#define RX_BYTES 512u
#define TX_BYTES 1024u

/* Inputs. */
#define IN_STOP_OPEN 0u
#define IN_STORE 1u
#define IN_RESET_REASON 2u
#define IN_PLACES_VALID 3u
#define IN_BOARD 4u
#define IN_PINS 5u
#define IN_SUPPLY_MV 6u
#define IN_TICK_US 8u
#define IN_BOOTS 12u
#define IN_CLOSED 13u
#define IN_ANALOG_0 14u
#define IN_KEPT_MARK 22u
#define IN_IMAGE_BYTES 24u
#define IN_PLACES 28u
#define STORE_DONE 1u
#define STORE_FAILED 2u

/* Outputs. */
#define OUT_POWER 0u
#define OUT_STATE 1u
#define OUT_TRIP 2u
#define OUT_BOOT 3u
#define OUT_IMAGE_COUNT 4u
#define OUT_IMAGE_BYTES 8u
#define OUT_RESPONDING 12u
#define OUT_PLACES 16u
#define STATE_LIMP 0u
#define STATE_LIVE 2u
#define STATE_TRIPPED 5u
#define TRIP_SUPPLY 2u

/* Places. */
#define PLACES_BYTES 96u
#define PLACE_JOINTS_AT 8u

/* Image; then its legs and its joints. */
#define IMAGE_CRC 8u
#define IMAGE_TICK_HZ 16u
#define IMAGE_JOINT_COUNT 20u
#define IMAGE_STOP_PIN 26u
#define IMAGE_POWER_PIN 27u
#define IMAGE_LOW_MV 36u
#define IMAGE_CRANK 44u
#define IMAGE_ROD_END_SIN 60u
#define IMAGE_MOUNT_00 64u
#define IMAGE_MAX 1524u
#define LEGS_AT 212u
#define LEG_BYTES 48u
#define JOINTS_AT 500u
#define JOINT_BYTES 64u

/* JointImage. */
#define JOINT_LO 0u
#define JOINT_HI 4u
#define JOINT_SLOW 20u
#define JOINT_MIN_US 44u
#define JOINT_FRAME_HZ 52u
#define JOINT_PIN 54u

#endif
