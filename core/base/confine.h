/* Inside base/: what a child gives up before it runs foreign code. */
#ifndef DROPWISE_BASE_CONFINE_H
#define DROPWISE_BASE_CONFINE_H

#include <stdbool.h>

/* In the child, before foreign code runs: own process group, dies with the host, default signals, standard
 * streams to /dev/null, every file but keep_fd closed, no core, no file growth, limits on processor time and
 * address space. Returns keep_fd's number, which may have moved. */
int dw__confine(int keep_fd, int host_pid, double limit_s);

/* Standard error is left open: DROPWISE_PLUGIN_STDERR. */
bool dw__messages_wanted(void);

#endif
