// The serial port that the host sees: a pseudo-terminal.
#ifndef BENCH_PTY_H
#define BENCH_PTY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "board.h"

struct pty {
	int master;            // -1: unplugged
	char path[64];
	const char *link;      // symbolic link to keep pointing at the port, or NULL
	bool open;             // a host has the port open
	bool muted;            // bytes to the host vanish on their way
	uint8_t outgoing[8192];
	size_t outgoing_count;
	instant_ps held_until; // what is to go out waits until then
	uint64_t delivered, lost_full, lost_closed, lost_muted;
};

// A new port. False and a message on stderr when the system has none.
bool pty_plug(struct pty *pty);
void pty_unplug(struct pty *pty);

// One byte to the host; it goes out with the next pty_flush.
void pty_send(struct pty *pty, uint8_t byte);
void pty_flush(struct pty *pty, instant_ps now);
// What is to go out from now on waits for so much longer; what there is already goes out.
void pty_hold(struct pty *pty, instant_ps now, instant_ps longer);

// Bytes from the host, at most `size`; 0: none.
size_t pty_receive(struct pty *pty, uint8_t *bytes, size_t size);

#endif
