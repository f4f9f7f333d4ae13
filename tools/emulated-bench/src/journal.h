// The bench's log: one line per change, `T_NS NAME LEVEL [MORE]`, on the bench's own clock.
#ifndef BENCH_JOURNAL_H
#define BENCH_JOURNAL_H

#include <stdbool.h>
#include "board.h"

// Path NULL: nothing is written. False and a message on stderr when the file cannot be opened.
bool journal_open(const char *path);

// One line. Instants are in picoseconds, the log has whole nanoseconds.
void journal_line(instant_ps at, const char *name, const char *format, ...) __attribute__((format(printf, 3, 4)));

// A `# …` line.
void journal_comment(const char *format, ...) __attribute__((format(printf, 1, 2)));

// Hands everything to the system, so that the file is complete even if this process is killed. False: the disk refused it.
bool journal_flush(void);

#endif
