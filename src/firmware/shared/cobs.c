#include "cobs.h"

/* A code of 0xFF stands for 254 bytes that no zero follows. */
#define LONGEST_RUN 254

int16_t cobs_decode(uint8_t *bytes, uint16_t length)
{
    uint16_t from = 0;
    uint16_t to = 0;

    while (from < length) {
        const uint8_t code = bytes[from++];

        if (code == 0 || (uint16_t)(code - 1) > length - from)
            return COBS_BROKEN;
        for (uint8_t i = 1; i < code; i++) {
            if (bytes[from] == 0)
                return COBS_BROKEN;
            bytes[to++] = bytes[from++];
        }
        if (code != LONGEST_RUN + 1 && from < length)
            bytes[to++] = 0;
    }
    return (int16_t)to;
}

void cobs_encode(const uint8_t *bytes, uint16_t length, void (*emit)(uint8_t byte))
{
    uint16_t at = 0;

    for (;;) {
        uint8_t run = 0;

        while (run < LONGEST_RUN && at + run < length && bytes[at + run] != 0)
            run++;
        emit((uint8_t)(run + 1));
        for (uint8_t i = 0; i < run; i++)
            emit(bytes[at + i]);
        at = (uint16_t)(at + run);
        if (at == length)
            return;
        if (run != LONGEST_RUN)
            at++; /* the zero that the code stands for; a full run stands for none */
    }
}
