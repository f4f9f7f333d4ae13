#include "chip.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <simavr/avr_adc.h>
#include <simavr/avr_extint.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_timer.h>
#include <simavr/sim_cycle_timers.h>
#include <simavr/sim_elf.h>
#include "adapter_pins.h"
#include "journal.h"

// Data addresses from the chips' datasheets, the same in all of them.
enum { MCUSR = 0x54, ADCL = 0x78, ADCH = 0x79, ADCSRA = 0x7A, ADCSRB = 0x7B, ADMUX = 0x7C, ACSR = 0x50 };
enum { ADEN = 0x80, ACME = 0x40, MUX5 = 0x08, ACBG = 0x40, ACO = 0x20, ACIC = 0x04 };
// Where timer 1's capture input leads on the chip's pins.
enum { CAPTURE_PORT_328P = 1, CAPTURE_BIT_328P = 0, CAPTURE_PORT_2560 = 3, CAPTURE_BIT_2560 = 4 };
enum { ADSC = 0x40, ADLAR = 0x20, REFS_SHIFT = 6 };
// Cycles that simavr may run without looking at its timers; a timer that comes earlier shortens it. 64 is 3 times faster than 1.
enum { RUN_CYCLE_LIMIT = 64 };

instant_ps chip_now(const struct chip *chip)
{
	return (instant_ps)chip->avr->cycle * PS_PER_CYCLE;
}

static avr_cycle_count_t board_timer(avr_t *avr, avr_cycle_count_t when, void *param)
{
	struct chip *chip = param;
	(void)when;
	chip->armed = 0;
	model_advance(chip->model, chip_now(chip));
	instant_ps due = model_due(chip->model);
	if (due == NEVER)
		return 0;
	chip->armed = (due + PS_PER_CYCLE - 1) / PS_PER_CYCLE;
	if (chip->armed <= avr->cycle)
		chip->armed = avr->cycle + 1;
	return chip->armed;
}

void chip_rearm(struct chip *chip)
{
	instant_ps due = model_due(chip->model);
	if (due == NEVER)
		return;
	avr_cycle_count_t at = (due + PS_PER_CYCLE - 1) / PS_PER_CYCLE;
	if (at <= chip->avr->cycle)
		at = chip->avr->cycle + 1;
	if (chip->armed != 0 && chip->armed <= at)
		return;
	chip->armed = at;
	avr_cycle_timer_register(chip->avr, at - chip->avr->cycle, board_timer, chip);
}

// The model says that a pin reads differently: simavr's own modules (pin change and external interrupts, input capture) hear of
// it through the pin's line. What an IN instruction reads comes from read_pins, not from there.
static void pin_changed(void *context, const struct lead *lead)
{
	struct chip *chip = context;
	if (lead->port >= 0)
		avr_raise_irq(chip->ports[lead->port].irqs + lead->bit, lead->level);
}

static int port_of(const struct chip *chip, uint16_t address)
{
	for (int p = 0; p < PORTS; p++)
		if (chip->ports[p].port && address >= chip->ports[p].pin && address <= chip->ports[p].port)
			return p;
	return -1;
}

static void update_port(struct chip *chip, int p)
{
	const struct port_registers *port = &chip->ports[p];
	uint8_t ddr = chip->avr->data[port->ddr], value = chip->avr->data[port->port];
	for (int bit = 0; bit < 8; bit++) {
		struct lead *lead = chip->leads[p][bit];
		if (lead)
			model_set_pin(chip->model, lead, ddr >> bit & 1, value >> bit & 1, value >> bit & 1, chip_now(chip));
	}
	chip_rearm(chip);
}

static void write_port(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	struct chip *chip = param;
	int p = port_of(chip, address);
	bool toggles = address == chip->ports[p].pin; // ones written to PINx turn PORTx bits round
	uint16_t target = toggles ? chip->ports[p].port : address;
	uint8_t after = toggles ? avr->data[target] ^ value : value;
	if (avr->data[target] == after)
		return;
	avr->data[target] = after;
	update_port(chip, p);
}

static uint8_t read_pins(avr_t *avr, avr_io_addr_t address, void *param)
{
	struct chip *chip = param;
	int p = port_of(chip, address);
	model_advance(chip->model, chip_now(chip));
	// Pins that lead nowhere: what the chip drives, or its own pull-up, else low.
	uint8_t value = avr->data[chip->ports[p].port];
	for (int bit = 0; bit < 8; bit++)
		if (chip->leads[p][bit])
			value = (uint8_t)((value & ~(1 << bit)) | chip->leads[p][bit]->level << bit);
	return value;
}

static void take_over_ports(struct chip *chip)
{
	avr_t *avr = chip->avr;
	for (avr_io_t *io = avr->io_port; io; io = io->next) {
		if (strcmp(io->kind, "port") != 0)
			continue;
		avr_ioport_t *port = (avr_ioport_t *)io;
		struct port_registers *registers = &chip->ports[port->name - 'A'];
		*registers = (struct port_registers){ port->r_pin, port->r_ddr, port->r_port, port->io.irq };
		for (uint16_t address = registers->pin; address <= registers->port; address++) {
			avr->io[AVR_DATA_TO_IO(address)].w.c = write_port;
			avr->io[AVR_DATA_TO_IO(address)].w.param = chip;
		}
		avr->io[AVR_DATA_TO_IO(registers->pin)].r.c = read_pins;
		avr->io[AVR_DATA_TO_IO(registers->pin)].r.param = chip;
	}
	struct board *board = &chip->model->board;
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		if (lead->port >= 0)
			chip->leads[lead->port][lead->bit] = lead;
		if (lead->analog >= 0)
			chip->analog[lead->analog] = lead;
	}
}

// A conversion starts. simavr 1.6 reads 0 on channels 8 to 15, so the result is made here, not there.
static void conversion_started(avr_irq_t *irq, uint32_t value, void *param)
{
	struct chip *chip = param;
	(void)irq;
	union {
		uint32_t value;
		avr_adc_mux_t mux;
	} input = { .value = value };
	uint8_t admux = chip->avr->data[ADMUX];
	static const double references[] = { 5.0, 5.0, 1.1, 2.56 }; // AREF (tied to 5 V), AVCC, internal ones
	double reference = references[admux >> REFS_SHIFT];
	int counts = 0;
	model_advance(chip->model, chip_now(chip));
	if (input.mux.kind == ADC_MUX_SINGLE && input.mux.src < ADC_CHANNELS && chip->analog[input.mux.src])
		counts = model_convert(chip->model, chip->analog[input.mux.src], reference, chip_now(chip));
	else if (input.mux.kind == ADC_MUX_REF)
		counts = (int)(input.mux.src / 1000.0 / reference * 1024.0);
	counts = counts > 1023 ? 1023 : counts;
	chip->next_counts = (uint16_t)((admux & ADLAR) ? counts << 6 : counts);
}

static uint8_t read_counts(avr_t *avr, avr_io_addr_t address, void *param)
{
	struct chip *chip = param;
	if (!(avr->data[ADCSRA] & ADSC))
		chip->counts = chip->next_counts;
	return (uint8_t)(address == ADCL ? chip->counts : chip->counts >> 8);
}

static void take_over_converter(struct chip *chip)
{
	avr_t *avr = chip->avr;
	avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_OUT_TRIGGER), conversion_started, chip);
	for (uint16_t address = ADCL; address <= ADCH; address++) {
		avr->io[AVR_DATA_TO_IO(address)].r.c = read_counts;
		avr->io[AVR_DATA_TO_IO(address)].r.param = chip;
	}
}

static avr_irq_t *capture_pin(const struct chip *chip)
{
	bool small = strcmp(chip->model->board.chip->name, "atmega328p") == 0;
	return small ? chip->ports[CAPTURE_PORT_328P].irqs + CAPTURE_BIT_328P : chip->ports[CAPTURE_PORT_2560].irqs + CAPTURE_BIT_2560;
}

static void comparator_changed(void *context, bool output)
{
	struct chip *chip = context;
	if (chip->captures_comparator)
		avr_raise_irq(chip->capture, output);
}

// What is compared, by the registers: the bandgap with a pin of the converter's multiplexer. That is the comparator's only while the converter is off. The inputs AIN0
// and AIN1 are not modelled: without bandgap or multiplexer nothing is compared.
static void find_compared(struct chip *chip)
{
	const uint8_t *data = chip->avr->data;
	bool captures = data[ACSR] & ACIC;
	const struct lead *lead = NULL;
	if ((data[ACSR] & ACBG) && (data[ADCSRB] & ACME) && !(data[ADCSRA] & ADEN))
		lead = chip->analog[(data[ADMUX] & 7) | (data[ADCSRB] & MUX5)];
	model_compare(chip->model, lead, chip_now(chip));
	if (captures != chip->captures_comparator) {
		chip->captures_comparator = captures;
		if (captures)
			avr_unconnect_irq(capture_pin(chip), chip->capture);
		else
			avr_connect_irq(capture_pin(chip), chip->capture);
		// The input changes over at once, which may be an edge.
		avr_raise_irq(chip->capture, captures ? chip->model->comparator.output : capture_pin(chip)->value);
	}
	chip_rearm(chip);
}

static void write_comparator(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	avr->data[address] = value;
	find_compared(param);
}

static uint8_t read_comparator(avr_t *avr, avr_io_addr_t address, void *param)
{
	struct chip *chip = param;
	model_advance(chip->model, chip_now(chip));
	return (uint8_t)((avr->data[address] & ~ACO) | (chip->model->comparator.output ? ACO : 0));
}

static void write_converter(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	struct chip *chip = param;
	int which = address - ADCSRA;
	if (chip->converter_registers[which].write)
		chip->converter_registers[which].write(avr, address, value, chip->converter_registers[which].param);
	else
		avr->data[address] = value;
	find_compared(chip);
}

// simavr's own comparator has a reference of exactly 1.1 V, no delay, and leaves the pin connected to the capture input.
static void take_over_comparator(struct chip *chip)
{
	avr_t *avr = chip->avr;
	chip->model->comparator.listener = comparator_changed;
	chip->model->comparator.context = chip;
	chip->capture = avr_io_getirq(avr, AVR_IOCTL_TIMER_GETIRQ('1'), TIMER_IRQ_IN_ICP);
	avr->io[AVR_DATA_TO_IO(ACSR)].w.c = write_comparator;
	avr->io[AVR_DATA_TO_IO(ACSR)].w.param = chip;
	avr->io[AVR_DATA_TO_IO(ACSR)].r.c = read_comparator;
	avr->io[AVR_DATA_TO_IO(ACSR)].r.param = chip;
	for (uint16_t address = ADCSRA; address <= ADMUX; address++) {
		chip->converter_registers[address - ADCSRA].write = avr->io[AVR_DATA_TO_IO(address)].w.c;
		chip->converter_registers[address - ADCSRA].param = avr->io[AVR_DATA_TO_IO(address)].w.param;
		avr->io[AVR_DATA_TO_IO(address)].w.c = write_converter;
		avr->io[AVR_DATA_TO_IO(address)].w.param = chip;
	}
}

static void drop_flag(avr_t *avr, avr_int_vector_t *vector, avr_io_addr_t address, uint8_t value)
{
	if (vector->raised.reg == address && (value >> vector->raised.bit & 1) && avr_regbit_get(avr, vector->raised)) {
		avr_clear_interrupt(avr, vector);
		avr_regbit_clear(avr, vector->raised);
	}
}

// A one written to a flag of TIFRn clears that flag. simavr 1.6 clears all flags of the register, whatever is written.
static void write_timer_flags(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	avr_timer_t *timer = param;
	drop_flag(avr, &timer->overflow, address, value);
	drop_flag(avr, &timer->icr, address, value);
	for (int i = 0; i < AVR_TIMER_COMP_COUNT; i++)
		drop_flag(avr, &timer->comp[i].interrupt, address, value);
}

static void raise_waiting(avr_t *avr, avr_int_vector_t *vector, uint8_t newly_enabled)
{
	if ((newly_enabled >> vector->enable.bit & 1) && avr_regbit_get(avr, vector->raised))
		avr_raise_interrupt(avr, vector);
}

// An interrupt that is enabled while its flag stands comes at once. In simavr 1.6 it never comes.
static void write_timer_enables(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	avr_timer_t *timer = param;
	uint8_t newly_enabled = value & (uint8_t)~avr->data[address];
	avr->data[address] = value;
	raise_waiting(avr, &timer->overflow, newly_enabled);
	if (timer->icr.enable.reg == address)
		raise_waiting(avr, &timer->icr, newly_enabled);
	for (int i = 0; i < AVR_TIMER_COMP_COUNT; i++)
		if (timer->comp[i].interrupt.enable.reg == address)
			raise_waiting(avr, &timer->comp[i].interrupt, newly_enabled);
}

static void take_over_timer_flags(struct chip *chip)
{
	avr_t *avr = chip->avr;
	for (avr_io_t *io = avr->io_port; io; io = io->next) {
		if (strcmp(io->kind, "timer") != 0)
			continue;
		avr_timer_t *timer = (avr_timer_t *)io;
		avr_io_addr_t address = timer->overflow.raised.reg;
		avr->io[AVR_DATA_TO_IO(address)].w.c = write_timer_flags;
		avr->io[AVR_DATA_TO_IO(address)].w.param = timer;
		address = timer->overflow.enable.reg;
		avr->io[AVR_DATA_TO_IO(address)].w.c = write_timer_enables;
		avr->io[AVR_DATA_TO_IO(address)].w.param = timer;
	}
}

// Pacing is the main loop's business: simavr must not sleep by itself.
static void no_sleep(avr_t *avr, avr_cycle_count_t cycles)
{
	(void)avr;
	(void)cycles;
}

static void start_afresh(struct chip *chip)
{
	chip->armed = 0;
	find_compared(chip); // the registers were cleared
	uart_reset(&chip->uart);
	for (int p = 0; p < PORTS; p++)
		if (chip->ports[p].port)
			update_port(chip, p);
	chip_rearm(chip);
	// A level-triggered external interrupt on a low pin would make simavr poll in every cycle.
	for (uint8_t n = 0; n < 8; n++)
		avr_extint_set_strict_lvl_trig(chip->avr, n, 0);
}

static void after_reset(struct chip *chip, uint8_t cause)
{
	chip->avr->data[MCUSR] = cause;
	start_afresh(chip);
	journal_line(chip_now(chip), "reset", "%s", cause == RESET_WATCHDOG ? "watchdog" : cause == RESET_EXTERNAL ? "external" : "power-on");
}

void chip_stack(const struct chip *chip, unsigned *deepest, unsigned *untouched)
{
	const avr_t *avr = chip->avr;
	unsigned run = 0;
	*deepest = *untouched = 0;
	for (uint32_t address = chip->model->board.chip->sram_start; address <= avr->ramend; address++) {
		run = avr->data[address] == chip->power_on_sram[address] ? run + 1 : 0;
		if (run > *untouched) {
			*untouched = run;
			*deepest = avr->ramend - address;
		}
	}
}

// What SRAM holds at power-on is chance.
static void fill_sram(struct chip *chip)
{
	for (uint32_t address = chip->model->board.chip->sram_start; address <= chip->avr->ramend; address++)
		chip->power_on_sram[address] = chip->avr->data[address] = (uint8_t)random_bits(&chip->sram);
}

void chip_power_off(struct chip *chip)
{
	journal_line(chip_now(chip), "supply", "off");
	avr_reset(chip->avr);
	start_afresh(chip);
	chip->off = true;
}

void chip_power_on(struct chip *chip)
{
	journal_line(chip_now(chip), "supply", "on");
	chip->off = false;
	avr_reset(chip->avr);
	fill_sram(chip);
	after_reset(chip, RESET_POWER_ON);
}

void chip_reset(struct chip *chip)
{
	avr_reset(chip->avr); // leaves the SRAM as it is, as silicon does
	chip->resets++;
	after_reset(chip, RESET_EXTERNAL);
}

// simavr's own messages: only what is an error, and never on standard output.
static void report(avr_t *avr, const int level, const char *format, va_list arguments)
{
	(void)avr;
	if (level != LOG_ERROR)
		return;
	fputs("simavr: ", stderr);
	vfprintf(stderr, format, arguments);
}

// The kind of core for which an ELF file was linked, from its flags (32 bits, little-endian: simavr has just read it). 0: cannot be read.
static uint32_t elf_machine(const char *path)
{
	enum { FLAGS_AT = 36, MACHINE_BITS = 0x7F };
	uint8_t flags = 0;
	FILE *file = fopen(path, "rb");
	if (!file)
		return 0;
	if (fseek(file, FLAGS_AT, SEEK_SET) != 0 || fread(&flags, 1, 1, file) != 1)
		flags = 0;
	fclose(file);
	return flags & MACHINE_BITS;
}

bool chip_start(struct chip *chip, const char *firmware, struct model *model, int uart_depth, struct noise *noise,
	void (*sent)(void *context, uint8_t byte), void *context)
{
	elf_firmware_t elf = { 0 };
	avr_global_logger_set(report);
	if (elf_read_firmware(firmware, &elf) != 0 || elf.flashsize == 0) {
		fprintf(stderr, "emulated-bench: cannot read the firmware %s: it must be an ELF file of an AVR program\n", firmware);
		return false;
	}
	const struct adapter_chip *kind = model->board.chip;
	if (elf_machine(firmware) != kind->elf_machine || (elf.mmcu[0] && strcmp(elf.mmcu, kind->name) != 0)) {
		fprintf(stderr, "emulated-bench: the firmware %s is for another chip; the board %s is wired to an %s. Give it firmware for that, or write another chip=… on its board line\n",
			firmware, model->board.name, kind->name);
		return false;
	}
	avr_t *avr = avr_make_mcu_by_name(kind->name);
	if (!avr) {
		fprintf(stderr, "emulated-bench: this simavr has no %s\n", kind->name);
		return false;
	}
	avr_init(avr);
	avr_load_firmware(avr, &elf);
	avr->frequency = CHIP_HZ;
	avr->vcc = avr->avcc = avr->aref = 5000;
	avr->run_cycle_limit = RUN_CYCLE_LIMIT;
	avr->sleep = no_sleep;
	avr->log = LOG_ERROR;
	*chip = (struct chip){ .avr = avr, .model = model };
	chip->power_on_sram = malloc(avr->ramend + 1u);
	if (!chip->power_on_sram) {
		fprintf(stderr, "emulated-bench: not enough memory\n");
		return false;
	}
	chip->sram = random_stream_for(model->board.seed, "sram");
	fill_sram(chip);
	take_over_ports(chip);
	take_over_converter(chip);
	take_over_comparator(chip);
	take_over_timer_flags(chip);
	uart_attach(&chip->uart, avr, uart_depth, noise, sent, context);
	model_start(model, pin_changed, chip);
	after_reset(chip, RESET_POWER_ON);
	return true;
}

bool chip_run(struct chip *chip, avr_cycle_count_t until)
{
	avr_t *avr = chip->avr;
	while (avr->cycle < until) {
		if (chip->off) {
			// Nothing runs, but the board's own events are timed by the same clock.
			avr->cycle += until - avr->cycle < RUN_CYCLE_LIMIT ? until - avr->cycle : RUN_CYCLE_LIMIT;
			avr_cycle_timer_process(avr);
			continue;
		}
		if (avr->run != avr_callback_run_raw) {
			// The watchdog has put simavr's reset in the place of its next step: it does that and nothing else.
			avr_run(avr);
			chip->resets++;
			after_reset(chip, RESET_WATCHDOG);
			continue;
		}
		int state = avr_run(avr);
		if (state == cpu_Done || state == cpu_Crashed) {
			fprintf(stderr, "emulated-bench: the chip stopped at %llu cycles: %s\n", (unsigned long long)avr->cycle,
				state == cpu_Done ? "sleep with interrupts off" : "the program crashed");
			return false;
		}
	}
	model_advance(chip->model, chip_now(chip));
	return true;
}
