// The emulated chip (ATmega2560 or ATmega328P) at 16 MHz: simavr runs the instructions; pins, converter and UART0 are connected to the board's model.
#ifndef BENCH_CHIP_H
#define BENCH_CHIP_H

#include <stdbool.h>
#include <simavr/sim_avr.h>
#include "model.h"
#include "random.h"
#include "uart.h"

enum { CHIP_HZ = 16000000, PORTS = 12, ADC_CHANNELS = 16 };

enum reset_cause { RESET_POWER_ON = 0x01, RESET_EXTERNAL = 0x02, RESET_WATCHDOG = 0x08 }; // bits of MCUSR

struct port_registers {
	uint16_t pin, ddr, port; // data addresses; 0: the chip has no such port
	avr_irq_t *irqs;
};

struct chip {
	avr_t *avr;
	struct model *model;
	struct uart uart;
	struct port_registers ports[PORTS];
	struct lead *leads[PORTS][8];
	struct lead *analog[ADC_CHANNELS];
	uint16_t next_counts, counts;
	struct {
		avr_io_write_t write;
		void *param;
	} converter_registers[3]; // simavr's own, of ADCSRA, ADCSRB and ADMUX
	avr_irq_t *capture; // timer 1's capture input
	bool captures_comparator;
	avr_cycle_count_t armed; // cycle for which the board's timer is set, 0: none
	unsigned resets;
	uint8_t *power_on_sram; // what SRAM held at first, by data address
	struct random_stream sram; // what it holds at power-on
	bool off;                  // no supply
};

// Loads the firmware. False and a message on stderr when it cannot be read or is for another chip.
bool chip_start(struct chip *chip, const char *firmware, struct model *model, int uart_depth, struct noise *noise,
	void (*sent)(void *context, uint8_t byte), void *context);

// Runs until the clock is at or past `until` (cycles). False: the program stopped for good (crash, or sleep without interrupts).
bool chip_run(struct chip *chip, avr_cycle_count_t until);

// Resets the chip as its reset input does: pins released, SRAM kept, as on silicon.
void chip_reset(struct chip *chip);

// Bytes of SRAM that the stack has ever reached, from its end down, and those below that nothing has ever written: the longest row of bytes
// that still hold what chance put there at power-on. A byte that was written with just that value looks untouched: 1 in 256.
void chip_stack(const struct chip *chip, unsigned *deepest, unsigned *untouched);
// The chip loses its supply: pins released, nothing runs, time goes on. Then it has it again, with chance in its SRAM.
void chip_power_off(struct chip *chip);
void chip_power_on(struct chip *chip);

instant_ps chip_now(const struct chip *chip);

// To be called after the model was changed from outside.
void chip_rearm(struct chip *chip);

#endif
