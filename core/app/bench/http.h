/* Inside bench/: from a request's head and body to its handler, and from its answer to bytes. */
#ifndef DROPWISE_APP_BENCH_HTTP_H
#define DROPWISE_APP_BENCH_HTTP_H

#include "app/bench/server.h"

/* libmicrohttpd's callbacks; their closure is the dw_bench. */
enum MHD_Result dw__http_access(void *bench, struct MHD_Connection *mhd, const char *url, const char *method,
                                const char *version, const char *upload_data, size_t *upload_data_size,
                                void **request);
void dw__http_completed(void *bench, struct MHD_Connection *mhd, void **request,
                        enum MHD_RequestTerminationCode code);
void dw__http_connection(void *bench, struct MHD_Connection *mhd, void **socket_context,
                         enum MHD_ConnectionNotificationCode code);

/* The answers that need no memory once the bench has started.  Errors DW_NO_MEMORY */
dw_status dw__answers_start(dw_bench *bench, dw_error *err);
void dw__answers_stop(dw_bench *bench); /* behind the server's end */
/* Sends the answer of an exchange: what it asked for; else its sentence, and of what the book holds by then that it was
 * kept. */
enum MHD_Result dw__answer_send(dw__exchange *x);
/* The address is one of the page's files: sends it. */
enum MHD_Result dw__asset_send(struct MHD_Connection *mhd, const dw__asset *asset);

#endif
