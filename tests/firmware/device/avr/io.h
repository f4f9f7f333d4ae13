/* No registers here: the table of ports is read for what its pins can do, and for nothing else. */
#include <stdint.h>

extern volatile uint8_t no_register;
#define PINA no_register
#define PINB no_register
#define PINC no_register
#define PINF no_register
#define PINK no_register
#define PINL no_register
