/* CRC-32/ISO-HDLC: reflected, polynomial 0x04C11DB7, initial value and final XOR 0xFFFFFFFF. */
#ifndef CRC32_H
#define CRC32_H

#include <stdint.h>

/* Running value before the first byte. */
#define CRC32_START 0xFFFFFFFFUL

/* Takes `length` more bytes into a running value; crc32_finish makes the published form of it. */
uint32_t crc32_add(uint32_t running, const uint8_t *bytes, uint16_t length);

static inline uint32_t crc32_finish(uint32_t running)
{
    return running ^ 0xFFFFFFFFUL;
}

#endif
