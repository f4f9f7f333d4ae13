/* Little-endian integers at any address. */
#ifndef WIRE_H
#define WIRE_H

#include <stdint.h>

static inline uint16_t wire_get_u16(const uint8_t *from)
{
    return (uint16_t)(from[0] | ((uint16_t)from[1] << 8));
}

static inline uint32_t wire_get_u32(const uint8_t *from)
{
    return (uint32_t)wire_get_u16(from) | ((uint32_t)wire_get_u16(from + 2) << 16);
}

static inline void wire_put_u16(uint8_t *to, uint16_t value)
{
    to[0] = (uint8_t)value;
    to[1] = (uint8_t)(value >> 8);
}

static inline void wire_put_u32(uint8_t *to, uint32_t value)
{
    wire_put_u16(to, (uint16_t)value);
    wire_put_u16(to + 2, (uint16_t)(value >> 16));
}

#endif
