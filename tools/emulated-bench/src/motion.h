// What moves: contacts with their bounces, motors with their encoders and limits.
#ifndef BENCH_MOTION_H
#define BENCH_MOTION_H

#include "board.h"

// Takes in that the contact was pressed, worked or broken; starts its bounces.
void contact_settle(struct contact *contact, instant_ps now);

// The next bounce, or NEVER.
instant_ps contact_due(const struct contact *contact);
void contact_step(struct contact *contact);

// Takes in what the axis's driver nets, its supply and its stop command.
void axis_settle(struct board *board, struct axis *axis, instant_ps now);

// At axis->due: the motor starts, stops, or passes an edge.
void axis_step(struct board *board, struct axis *axis);

double axis_position(const struct axis *axis, instant_ps now);

// Sets the switches to where the axis starts.
void axis_place(struct board *board, struct axis *axis);

#endif
