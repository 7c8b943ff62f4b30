/* What read and its keeping share. */
#ifndef DROPWISE_APP_CLI_READ_H
#define DROPWISE_APP_CLI_READ_H

#include "app/cli/book.h"

/* Whether the options make sense and the book has what --pattern and --batch name: to be known before any
 * photo is read, and without making a book.  Errors DW_NOT_FOUND, naming the batches that there are */
dw_status cli_read_check(const cli_args *args, dw_error *err);
/* Keeps the photos' layers as readings of the batch that --pattern and --batch name, all or none, lets the
 * bottles learn from them, and prints the readings with what was kept.
 * Errors as cli_read_check; DW_BAD_INPUT a marked layer that the pattern doesn't have, naming those it has */
dw_status cli_read_keep(const cli_args *args, const cli_photos *photos, dw_error *err);

#endif
