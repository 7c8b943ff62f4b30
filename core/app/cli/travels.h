/* Travels of turned baits among a batch's readings: t3 is the third of the book. */
#ifndef DROPWISE_APP_CLI_TRAVELS_H
#define DROPWISE_APP_CLI_TRAVELS_H

#include "app/cli/book.h"

/* Whether the word is a travel's number. */
bool cli_travel_named(const char *word);
/* Appends those of a batch. */
dw_status cli_travels_put(dw_book *book, int64_t batch, json_t *list, dw_text *out, dw_error *err);
/* reading remove and reading correct, of the travel that the command names. */
dw_status cli_travel_remove(const cli_args *args, dw_error *err);
dw_status cli_travel_correct(const cli_args *args, dw_error *err);

#endif
