/* USB, and what its three files know of each other: usb.c moves packets, usb_control.c answers requests, usb_descriptors.c says what this is. */
#ifndef POSEWRIGHT_PICO_USB_H
#define POSEWRIGHT_PICO_USB_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "registers.h"

/** Longest packet of every endpoint but the one of notifications. */
#define USB_PACKET 64u
/** Endpoints: notifications, which never come, and the link's bytes both ways. */
#define USB_EP_NOTES 1u
#define USB_EP_LINK 2u

/** Readies the controller and shows the board to a host. */
void usb_start(void);

/** A host holds the link open: configured, DTR on, the bus awake. */
bool usb_open(void);

/** As board_receive and board_send. */
size_t usb_receive(uint8_t* to, size_t n);
size_t usb_send(const uint8_t* from, size_t n);

/** True once after a host has asked for the boot loader by closing the port at 1,200 baud. */
bool usb_touched(void);

/** Off the bus. */
void usb_leave(void);

/** Hands a buffer to the controller: its control word without AVAILABLE. */
void usb_arm(volatile uint32_t* control, uint32_t word);

/** What a host asks of the device: called by requests, in the interrupt. */
void usb_configure(bool on);
bool usb_configured(void);
void usb_line(bool dtr, uint32_t baud);
/** Begins again with DATA0 on an endpoint's way; false: there is no such endpoint. */
bool usb_unhalt(uint32_t endpoint, uint32_t way);

/** Endpoint 0, in the interrupt: back to the start; a request has come; its buffer was sent, was filled. */
void control_reset(void);
void control_setup(void);
void control_sent(void);
void control_received(void);

/** A descriptor by type and index (USB 2.0 table 9-5), and its length; NULL: there is none. It holds until the next call. */
const uint8_t* usb_descriptor(uint32_t type, uint32_t index, size_t* n);

/** Before the first descriptor: takes the serial number from the flash. */
void usb_descriptors_start(void);

#endif
