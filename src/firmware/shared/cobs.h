/* Consistent overhead byte stuffing (Cheshire & Baker, IEEE/ACM Transactions on Networking 7(2), April 1999). */
#ifndef COBS_H
#define COBS_H

#include <stdint.h>

enum { COBS_BROKEN = -1 };

/* Decodes in place: the plain bytes are never longer than the encoded ones.
   `length`: encoded bytes without their delimiter. Returns the number of plain bytes, or COBS_BROKEN when a
   zero stands inside or a run reaches beyond the end. */
int16_t cobs_decode(uint8_t *bytes, uint16_t length);

/* Gives the encoded form, without a delimiter, to `emit`, a byte at a time: no second buffer is needed. */
void cobs_encode(const uint8_t *bytes, uint16_t length, void (*emit)(uint8_t byte));

#endif
