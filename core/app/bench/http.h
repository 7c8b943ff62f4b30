/* Inside bench/: from a request's head and body to its handler, and from its answer to bytes. */
#ifndef POURTONE_APP_BENCH_HTTP_H
#define POURTONE_APP_BENCH_HTTP_H

#include "app/bench/server.h"

/* libmicrohttpd's callbacks; their closure is the pt_bench. */
enum MHD_Result pt__http_access(void *bench, struct MHD_Connection *mhd, const char *url, const char *method,
                                const char *version, const char *upload_data, size_t *upload_data_size,
                                void **request);
void pt__http_completed(void *bench, struct MHD_Connection *mhd, void **request,
                        enum MHD_RequestTerminationCode code);
void pt__http_connection(void *bench, struct MHD_Connection *mhd, void **socket_context,
                         enum MHD_ConnectionNotificationCode code);

/* Sends the answer of an exchange. */
enum MHD_Result pt__answer_send(pt__exchange *x);
/* The address is one of the page's files: sends it. */
enum MHD_Result pt__asset_send(struct MHD_Connection *mhd, const pt__asset *asset);

#endif
