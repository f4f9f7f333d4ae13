/* Start, and the loop that waits for the host. */
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>

#include "converter.h"
#include "hal.h"
#include "session.h"
#include "timer.h"
#include "uart.h"

static struct session session;
static uint8_t reset_flags __attribute__((section(".noinit")));
static uint32_t boot_count EEMEM;

/* After a watchdog reset the watchdog runs on, at its shortest period: it must be switched off before the C start-up has
   cleared the RAM. MCUSR goes first, because WDRF holds the watchdog on. */
void take_reset_flags(void) __attribute__((naked, used, section(".init3")));
void take_reset_flags(void)
{
    reset_flags = MCUSR & ((1 << PORF) | (1 << EXTRF) | (1 << BORF) | (1 << WDRF));
    MCUSR = 0;
    wdt_disable();
}

/* Counts the starts in EEPROM, which tells this start from all earlier ones. */
static uint32_t next_boot_number(void)
{
    const uint32_t number = eeprom_read_dword(&boot_count) + 1;

    eeprom_update_dword(&boot_count, number);
    return number;
}

int main(void)
{
    /* Plain reset mode: in interrupt-and-reset mode a program that hangs with interrupts off, as they are in a burst, would never
       be reset, because the second time-out waits for the interrupt to be served. */
    wdt_enable(WDTO_120MS);
    timer_start_up();
    uart_start_up();
    converter_start_up();
    sei();
    session_start(&session, next_boot_number(), reset_flags);
    for (;;) {
        wdt_reset();
        if (uart_has_byte())
            session_receive(&session, uart_take());
        else
            session_tick(&session);
    }
}
