/* The samples of a sensor check, put into frames as they come. See check.h. */
#include "check.h"

#include "cold.h"
#include "clock.h"
#include "frame.h"
#include "messages.h"

enum { SAMPLES = FRAME_DATA / SAMPLE_BYTES };

static bool on;
static uint32_t asked_at;
static uint32_t said_at;
static uint16_t number; /* of the next sample */
static uint8_t samples; /* in the frame that is begun; 0 if none is */
static bool whole;      /* it takes no further sample */

void check_init(void)
{
    on = whole = false;
    samples = 0;
}

COLD void check_ask(bool wanted, uint32_t now)
{
    if (wanted && !on) {
        number = 0;
        said_at = now;
    }
    on = wanted;
    asked_at = now;
}

void check_now(uint32_t now)
{
    if (on && clock_elapsed(now, asked_at, HOST_LOST_MS * STAMPS_PER_MS))
        on = false;
}

bool check_on(void)
{
    return on;
}

bool check_takes(void)
{
    return !whole && !frame_sending();
}

COLD void check_sample(uint32_t stamp, uint8_t levels, uint8_t boot)
{
    if (samples == 0) {
        frame_begin(HEAD_SENSORS);
        frame_put(boot, 1);
        frame_put(number, 2);
    }
    frame_put((stamp & ~(uint32_t)(SAMPLE_A | SAMPLE_B)) | levels, SAMPLE_BYTES);
    number++;
    whole = ++samples == SAMPLES;
}

/* The numbers inside a frame go up by one, so it ends here. */
void check_missed(uint16_t count)
{
    number = (uint16_t)(number + count);
    whole = samples > 0;
}

bool check_quiet(uint32_t now)
{
    return on && samples == 0 && check_takes() &&
           clock_elapsed(now, said_at, CHECK_MS * STAMPS_PER_MS);
}

bool check_collects(void)
{
    return samples > 0;
}

bool check_frame_due(uint32_t now)
{
    return whole || !on || clock_elapsed(now, said_at, CHECK_MS * STAMPS_PER_MS);
}

void check_close(uint32_t now)
{
    said_at = now;
    samples = 0;
    whole = false;
}
