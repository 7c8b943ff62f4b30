/* The book as a file: connected to, brought up to date, copied. */
#ifndef POURTONE_BOOK_FILE_H
#define POURTONE_BOOK_FILE_H

#include "pourtone/book.h"

/* Opens a file as it is: no creation, no migration.  flags  of sqlite3_open_v2 */
pt_status pt__book_connect(const char *path, int flags, pt_book **out, pt_error *err);
/* The same by another address of that file, a URI. */
pt_status pt__book_connect_by(const char *address, const char *path, int flags, pt_book **out, pt_error *err);
/* 0 for an empty file.  Errors PT_CORRUPT not a book, PT_UNSUPPORTED a newer one */
pt_status pt__book_version(pt_book *book, int64_t *version, pt_error *err);
/* Brings it to the newest schema.  keep  whether the older one is first kept beside it */
typedef enum pt__keep { PT__KEEP_OLDER, PT__KEEP_NONE } pt__keep;
pt_status pt__book_migrate(pt_book *book, pt__keep keep, pt_error *err);
/* Makes a new file; PT_BAD_INPUT when it is there. */
pt_status pt__file_claim(const char *path, pt_error *err);
/* What was written to it, or the names in the folder that holds it, survive a power cut from here on.
 * flags  of open: O_DIRECTORY for a folder */
pt_status pt__sync_path(const char *path, int flags, pt_error *err);
pt_status pt__sync_folder_of(const char *path, pt_error *err);
/* Copies a book into a new file, however old its schema is; removes the file again on error. */
pt_status pt__book_copy(pt_book *book, const char *to, pt_error *err);

#endif
