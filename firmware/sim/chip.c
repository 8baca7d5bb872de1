/* The simulated chip. See chip.h. */
#include "chip.h"

#include "board.h"
#include "measure.h"

#include <simavr/avr_eeprom.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_timer.h>
#include <simavr/sim_elf.h>

enum {
    LONGEST_STRETCH = 1000, /* cycles run without a look at the timers; none is late by it */
    HZ_PER_MHZ = 1000000,
    JUMP_TO_ITSELF = 0xcfff, /* rjmp .-2 */
};

static elf_firmware_t firmware;
static void (*on_start)(avr_t *);
static void (*reset_of_core)(avr_t *);
static int a_level, b_level;
static int asked_reset = -1, asked_hang;
static struct {
    int spoilt;
    avr_flashaddr_t at;
    uint16_t was;
} program;

static void put_word(avr_t *avr, avr_flashaddr_t at, uint16_t word)
{
    avr->flash[at] = (uint8_t)word;
    avr->flash[at + 1] = (uint8_t)(word >> 8);
}

static void mend_program(avr_t *avr)
{
    if (program.spoilt)
        put_word(avr, program.at, program.was);
    program.spoilt = 0;
}

/* A reset clears the input registers too, but not what drives the pins. */
static void restore_pins(avr_t *avr)
{
    avr->data[board->a.input] = (uint8_t)(a_level << board->a.bit);
    avr->data[board->b.input] = (uint8_t)(b_level << board->b.bit);
}

static void starting(avr_t *avr)
{
    if (reset_of_core)
        reset_of_core(avr);
    avr->run_cycle_limit = LONGEST_STRETCH;
    mend_program(avr);
    restore_pins(avr);
    on_start(avr);
}

/* Paced elsewhere, by the wall clock or not at all. */
static void do_not_sleep(avr_t *avr, avr_cycle_count_t cycles)
{
    (void)avr;
    (void)cycles;
}

static void load_eeprom(avr_t *avr, const char *path)
{
    static uint8_t bytes[4096];
    FILE *file = path ? fopen(path, "rb") : NULL;
    if (!file)
        return;
    avr_eeprom_desc_t all = {.ee = bytes, .size = (uint32_t)fread(bytes, 1, sizeof bytes, file)};
    fclose(file);
    avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &all);
}

void chip_save(avr_t *avr, const char *path)
{
    avr_eeprom_desc_t all = {.size = avr->e2end + 1u};
    FILE *file = path ? fopen(path, "wb") : NULL;
    if (!file)
        return;
    avr_ioctl(avr, AVR_IOCTL_EEPROM_GET, &all); /* returns -1 even when it did */
    if (all.ee)
        fwrite(all.ee, 1, all.size, file);
    fclose(file);
}

static void clear_if(avr_t *avr, avr_int_vector_t *vector, uint8_t written)
{
    if (avr_regbit_from_value(avr, vector->raised, written))
        avr_clear_interrupt(avr, vector);
}

/* A one written to a flag clears it, and leaves the others (datasheet, "TIFR1"); libsimavr clears
 * every flag of the timer whatever is written, and so loses overflows. */
static void write_timer_flags(avr_t *avr, avr_io_addr_t address, uint8_t written, void *param)
{
    (void)address;
    avr_timer_t *timer = param;
    clear_if(avr, &timer->icr, written);
    clear_if(avr, &timer->overflow, written);
    for (int i = 0; i < AVR_TIMER_COMP_COUNT; ++i)
        clear_if(avr, &timer->comp[i].interrupt, written);
}

static void mend_timer_flags(avr_t *avr)
{
    avr->io[AVR_DATA_TO_IO(board->timer_flags)].w.c = write_timer_flags;
}

/* cppcheck-suppress constParameter ; the library sets the type */
static void log_errors_only(avr_t *avr, const int level, const char *format, va_list values)
{
    if (level == LOG_ERROR && avr)
        vfprintf(stderr, format, values);
}

avr_t *chip_load(const char *elf, const char *eeprom, unsigned battery_mv, void (*started)(avr_t *))
{
    avr_global_logger_set(log_errors_only);
    avr_t *avr = avr_make_mcu_by_name(board->mcu);
    if (!avr || elf_read_firmware(elf, &firmware) != 0)
        return NULL;
    on_start = started;
    reset_of_core = avr->reset;
    avr_init(avr);
    avr->frequency = board->cycles_per_us * HZ_PER_MHZ;
    avr->sleep = do_not_sleep;
    firmware.eesize = 0; /* programming the flash leaves the EEPROM blank */
    avr_load_firmware(avr, &firmware);
    chip_battery(avr, battery_mv);
    load_eeprom(avr, eeprom);
    mend_timer_flags(avr);
    measure_start(avr, &firmware);
    chip_set_a(avr, 0);
    chip_set_b(avr, 0);
    avr->reset = starting;
    starting(avr);
    return avr;
}

static void reset(avr_t *avr)
{
    avr_regbit_t flags[] = {
        [RESET_EXTERNAL] = avr->reset_flags.extrf,
        [RESET_POWER] = avr->reset_flags.porf,
        [RESET_BROWNOUT] = avr->reset_flags.borf,
    };
    avr_reset(avr);
    avr_regbit_set(avr, flags[asked_reset]);
    asked_reset = -1;
}

static void hang(avr_t *avr)
{
    asked_hang = 0;
    program.spoilt = 1;
    program.at = avr->pc;
    program.was = (uint16_t)(avr->flash[avr->pc] | avr->flash[avr->pc + 1] << 8);
    put_word(avr, program.at, JUMP_TO_ITSELF);
    avr->sreg[S_I] = 0;
    avr->interrupt_state = 0;
    avr->state = cpu_Running;
}

int chip_run(avr_t *avr)
{
    int state = avr_run(avr);
    if (asked_hang)
        hang(avr);
    if (asked_reset >= 0)
        reset(avr);
    return state;
}

void chip_ask_reset(enum chip_reset cause)
{
    asked_reset = (int)cause;
}

void chip_ask_hang(void)
{
    asked_hang = 1;
}

void chip_battery(avr_t *avr, unsigned battery_mv)
{
    avr->vcc = avr->avcc = avr->aref = battery_mv;
}

/* The pull names what drives the pin from outside; without it libsimavr lets the port's own weak
 * pull-up win over the sensor. */
static void set(avr_t *avr, struct pin pin, int level)
{
    avr_ioport_external_t driven = {.name = (unsigned char)pin.port,
                                    .mask = (unsigned char)(1 << pin.bit),
                                    .value = (unsigned char)(level << pin.bit)};
    avr_ioctl(avr, AVR_IOCTL_IOPORT_SET_EXTERNAL(pin.port), &driven);
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(pin.port), pin.bit), (uint32_t)level);
}

void chip_set_a(avr_t *avr, int level)
{
    if (level != a_level)
        measure_edge(avr);
    a_level = level;
    set(avr, board->a, level);
}

void chip_set_b(avr_t *avr, int level)
{
    b_level = level;
    set(avr, board->b, level);
}

int chip_a(void)
{
    return a_level;
}

int chip_b(void)
{
    return b_level;
}

void chip_report(const avr_t *avr, FILE *out)
{
    measure_report(avr, out);
}
