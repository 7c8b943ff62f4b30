/* The book as a file: connected to, brought up to date, copied. */
#ifndef DROPWISE_BOOK_FILE_H
#define DROPWISE_BOOK_FILE_H

#include "dropwise/book.h"

/* Opens a file as it is: no creation, no migration.  flags  of sqlite3_open_v2 */
dw_status dw__book_connect(const char *path, int flags, dw_book **out, dw_error *err);
/* What goes before a path so that SQLite takes any name for a file's: ":memory:" and "file:..." would else be
 * books that vanish when they are closed. Static. */
const char *dw__book_folder_before(const char *path);
/* The same by another address of that file, a URI. */
dw_status dw__book_connect_by(const char *address, const char *path, int flags, dw_book **out, dw_error *err);
/* 0 for an empty file.  Errors DW_CORRUPT not a book, DW_UNSUPPORTED a newer one */
dw_status dw__book_version(dw_book *book, int64_t *version, dw_error *err);
/* Brings it to the newest schema.  keep  whether the older one is first kept beside it */
typedef enum dw__keep { DW__KEEP_OLDER, DW__KEEP_NONE } dw__keep;
dw_status dw__book_migrate(dw_book *book, dw__keep keep, dw_error *err);
/* Makes a new file; DW_BAD_INPUT when it is there. */
dw_status dw__file_claim(const char *path, dw_error *err);
/* What was written to it, or the names in the folder that holds it, survive a power cut from here on.
 * flags  of open: O_DIRECTORY for a folder */
dw_status dw__sync_path(const char *path, int flags, dw_error *err);
dw_status dw__sync_folder_of(const char *path, dw_error *err);
/* Copies a book into a new file, however old its schema is; removes the file again on error. */
dw_status dw__book_copy(dw_book *book, const char *to, dw_error *err);

#endif
