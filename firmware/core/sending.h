/* How far the log is sent, and what of it is due.
 *
 * Each byte of the log is sent once; what stays unacknowledged for GO_BACK_MS is sent again. What was
 * to be sent may be dropped before. Four functions return true then, and a hello must announce
 * where the log goes on. */
#ifndef SENDING_H
#define SENDING_H

#include <stdbool.h>
#include <stdint.h>

void sending_init(void);
void sending_set_flush(uint32_t stamps); /* how long an unfilled frame waits */
uint32_t sending_position(void); /* log position up to which whole bytes are sent */

bool sending_restart(uint32_t position, uint32_t now); /* from here, or from the oldest byte kept */
bool sending_again(uint32_t position, uint32_t now);   /* the same, since a frame was lost */
bool sending_log_grew(uint32_t since, uint32_t now);   /* new bits wait since then */
bool sending_go_back(uint32_t now);                    /* if the host is silent on what was sent */
void sending_wait(uint32_t since); /* what waits counts from then on */
void sending_acknowledged(uint32_t position, uint32_t edge, uint32_t now);

bool sending_due(uint32_t now);
void sending_say(uint32_t now); /* the next frame of edges, begun and filled */

#endif
