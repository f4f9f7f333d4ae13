// Faults of the measuring set-up and of what the board moves: leads, lines, motors. And the words of all faults.
#ifndef BENCH_FAULT_SET_UP_H
#define BENCH_FAULT_SET_UP_H

#include <stdbool.h>
#include <stddef.h>
#include "board.h"

// Writes what is wrong into `message`; always false.
bool fault_refuse(char *message, size_t size, const char *format, ...) __attribute__((format(printf, 3, 4)));

// Adds a word to a list in words, while there is room.
void fault_list(char *text, size_t size, const char *word);

// Faults of leads, of line leads, and of what the board's drivers move. Each returns false with a message when it cannot be.
bool fault_of_lead(struct board *board, const char *target, const char *mode, char *message, size_t size);
bool fault_of_line(struct board *board, const char *target, const char *mode, char *message, size_t size);
bool fault_of_motor(struct board *board, const char *target, const char *mode, char *message, size_t size);

// None of those.
void faults_clear_set_up(struct board *board);

#endif
