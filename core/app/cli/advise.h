/* Inside advise: all that one run holds. */
#ifndef DROPWISE_APP_CLI_ADVISE_H
#define DROPWISE_APP_CLI_ADVISE_H

#include "app/cli/book.h"

/* Large: on the heap. */
typedef struct cli_advise_work {
  dw_book *book; /* NULL: none is asked */
  dw_pattern pattern;
  dw_shelf *shelf;
  dw_plugins plugins;
  dw_marks marks;
  cli_photos found; /* baits of the photo, where no layer is marked in it */
  dw_photo_reading reading;
  bool has_photo;
  dw_preview preview;
  dw_arena *arena;
  dw_batch_question question;
  dw_batch_advice *advice;
  const char *only[DW_PLUGINS_MAX];
} cli_advise_work;

/* Options that go before the book's limits, which rules has. */
dw_status cli_advise_rules(const cli_args *args, const dw_shelf *shelf, dw_rules *rules, dw_error *err);
/* The layers with their targets and cups, from --target, --targets or --pattern.  The shelf is there. */
dw_status cli_advise_layers(const cli_args *args, cli_advise_work *work, dw_error *err);

#endif
