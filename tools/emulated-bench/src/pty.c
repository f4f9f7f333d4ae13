#include "pty.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

static bool point_link(const struct pty *pty)
{
	char temporary[4096];
	if (!pty->link)
		return true;
	snprintf(temporary, sizeof temporary, "%s.new", pty->link);
	unlink(temporary);
	if (symlink(pty->path, temporary) == 0 && rename(temporary, pty->link) == 0)
		return true;
	fprintf(stderr, "emulated-bench: cannot make the link %s: %s\n", pty->link, strerror(errno));
	return false;
}

bool pty_plug(struct pty *pty)
{
	int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
	if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0 || ptsname_r(master, pty->path, sizeof pty->path) != 0) {
		fprintf(stderr, "emulated-bench: no pseudo-terminal: %s\n", strerror(errno));
		if (master >= 0)
			close(master);
		return false;
	}
	// Raw from the start: a host that opens it late must not find its first bytes echoed or translated.
	struct termios raw;
	int slave = open(pty->path, O_RDWR | O_NOCTTY);
	if (slave >= 0 && tcgetattr(slave, &raw) == 0) {
		cfmakeraw(&raw);
		cfsetspeed(&raw, B500000);
		tcsetattr(slave, TCSANOW, &raw);
	}
	if (slave >= 0)
		close(slave);
	fcntl(master, F_SETFL, fcntl(master, F_GETFL) | O_NONBLOCK);
	pty->master = master;
	pty->open = false;
	pty->outgoing_count = 0;
	return point_link(pty);
}

void pty_unplug(struct pty *pty)
{
	if (pty->master < 0)
		return;
	close(pty->master);
	pty->master = -1;
	pty->open = false;
	pty->outgoing_count = 0;
	pty->held_until = 0;
	if (pty->link)
		unlink(pty->link);
}

void pty_send(struct pty *pty, uint8_t byte)
{
	if (pty->muted)
		pty->lost_muted++;
	else if (pty->master < 0)
		pty->lost_closed++;
	else if (pty->outgoing_count == sizeof pty->outgoing)
		pty->lost_full++;
	else
		pty->outgoing[pty->outgoing_count++] = byte;
}

static void look_for_host(struct pty *pty)
{
	struct pollfd poll_master = { .fd = pty->master, .events = POLLIN };
	poll(&poll_master, 1, 0);
	pty->open = !(poll_master.revents & POLLHUP);
}

void pty_hold(struct pty *pty, instant_ps now, instant_ps longer)
{
	pty_flush(pty, now);
	pty->held_until = (pty->held_until > now ? pty->held_until : now) + longer;
}

void pty_flush(struct pty *pty, instant_ps now)
{
	if (pty->master < 0 || pty->outgoing_count == 0 || now < pty->held_until)
		return;
	look_for_host(pty);
	if (!pty->open) {
		// As on a real adapter: what is sent while nobody has the port open is gone.
		pty->lost_closed += pty->outgoing_count;
		pty->outgoing_count = 0;
		return;
	}
	ssize_t written = write(pty->master, pty->outgoing, pty->outgoing_count);
	size_t delivered = written > 0 ? (size_t)written : 0;
	pty->delivered += delivered;
	pty->lost_full += pty->outgoing_count - delivered;
	pty->outgoing_count = 0;
}

size_t pty_receive(struct pty *pty, uint8_t *bytes, size_t size)
{
	if (pty->master < 0)
		return 0;
	ssize_t got = read(pty->master, bytes, size);
	if (got > 0)
		pty->open = true;
	else if (got < 0 && errno == EIO)
		pty->open = false;
	return got > 0 ? (size_t)got : 0;
}
