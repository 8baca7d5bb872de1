/* Made by firmware/generate.py from host/unspool/instrument/wire/table.py. */
#ifndef MESSAGES_H
#define MESSAGES_H

#include <stdint.h>

#define TABLE_HASH UINT32_C(0xE15590C4)
#define PROTOCOL 1
#define EDGE_TICKS_SHIFT 3
#define FRAME_DATA 64
#define MAX_PAYLOAD 70
#define BLOCK_BYTES 256
#define BLOCK_HEADER 10
#define RESTART_BYTES 5
#define MAX_SLOTS 48
#define SECOND_MS 1000
#define HOST_LOST_MS 2000
#define GO_BACK_MS 500
#define FLUSH_MS 20
#define RESUME_MS 300
#define CHECK_MS 50
#define BLOCK_STARTS 0x08U
#define BLOCK_RESTARTED 0x80U
#define SAMPLE_A 0x02U
#define SAMPLE_B 0x01U
#define SAMPLE_BYTES 4
#define MAX_HOST_PAYLOAD 10

#define HEAD_HELLO 0x11U
#define HEAD_EDGES 0x12U
#define HEAD_STATUS 0x13U
#define HEAD_SENSORS 0x14U
#define HEAD_HELLO_REQUEST 0x18U
#define HEAD_ACKNOWLEDGE 0x19U
#define HEAD_CONFIGURE 0x1AU
#define HEAD_CHECK 0x1BU
#define HEAD_IDENTIFY 0x1CU

#define HELLO_REQUEST_BOOT 0
#define HELLO_REQUEST_EDGE 2
#define HELLO_REQUEST_BYTES 6

#define ACKNOWLEDGE_BOOT 0
#define ACKNOWLEDGE_POSITION 1
#define ACKNOWLEDGE_EDGE 5
#define ACKNOWLEDGE_RESEND 9
#define ACKNOWLEDGE_BYTES 10

#define CONFIGURE_EDGES_PER_TURN 0
#define CONFIGURE_FLUSH_MS 2
#define CONFIGURE_BYTE_US 3
#define CONFIGURE_BYTES 5

#define CHECK_BOOT 0
#define CHECK_ON 1
#define CHECK_BYTES 2

#define IDENTIFY_IDENTITY 0
#define IDENTIFY_BYTES 4

/* STATUS.reset_cause */
enum reset_cause {
    RESET_UNKNOWN = 0,
    RESET_POWER_ON = 1,
    RESET_EXTERNAL = 2,
    RESET_BROWN_OUT = 3,
    RESET_WATCHDOG = 4,
};

#endif
