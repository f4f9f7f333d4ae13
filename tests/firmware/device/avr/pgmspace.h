/* Flash and RAM are one on this machine. */
#define PROGMEM
#define pgm_read_dword(address) (*(address))
