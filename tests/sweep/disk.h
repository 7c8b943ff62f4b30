/* A disk that loses power: what was written to the files of one folder since their last sync may be there afterwards, or
 * not, or in part. It stands beneath SQLite's own VFS and everything else that this program does to files: the calls of
 * the C library are taken over (open, write, pwrite, ftruncate, fsync, fdatasync, rename, link, unlink).
 *
 * What a loss may do: of the unsynced writes to a file each sector of 512 bytes survives or does not, whatever came
 * before or behind it (so pages are torn); cuts of its length likewise. Of the changes to names that were made since the
 * folder was last synced the first few survive, as on a file system with a journal; a file's sync does not keep its name.
 * The shared memory of a write-ahead log (-shm) is gone, or as it was. */
#ifndef DROPWISE_TESTS_SWEEP_DISK_H
#define DROPWISE_TESTS_SWEEP_DISK_H

#include "dropwise/numeric.h"

#include <stdbool.h>
#include <stddef.h>

/* What lies in the folder is safe; from here on its files are watched. One at a time. */
void disk_watch(const char *folder);
void disk_leave(void);

/* How many calls have changed something in the folder since disk_watch. */
long disk_changes(void);
/* Calls `fails` before the change with that number; 0: never. It may do nothing but disk_lose, since SQLite may be in the
 * midst of anything. */
void disk_at(long change, void (*fails)(void *context), void *context);

/* The folder as it is found after a loss of power at this moment, written to another folder, which is there and empty. */
void disk_lose(dw_random *random, const char *to);

#endif
