/* Inside photo/: the process that decodes one photo, as the photo's own process sees it.
 *
 * A program of its own (dropwise-decode, for HEIC dropwise-decode-heic) is started afresh beside the running
 * one, with the photo as an open file and a socket, and nothing else of this process; it seals itself before
 * it reads a byte of the photo. It lives as long as the photo is open and serves one request at a time. */
#ifndef DROPWISE_PHOTO_DECODER_H
#define DROPWISE_PHOTO_DECODER_H

#include "photo/decode.h"
#include "photo/wire.h"

/* Starts the program for a photo of this format and has it read the header: photo->info is then known.
 * fd  of the photo's file, borrowed
 * Errors those of dw_photo_open; DW_UNSUPPORTED, DW_IO the program is not there or can't be started */
dw_status dw__decoder_open(dw_photo *photo, const char *format, int fd, dw_error *err);

/* One request (ask->build is filled in here) with the memory it fills, and photo->info brought up to date.
 * After a crash or a timeout the decoder is gone.
 * Errors those of the decoding; DW_CORRUPT it crashed, took too long or lied */
dw_status dw__decoder_ask(dw_photo *photo, dw__ask *ask, int memory, dw_error *err);

void dw__decoder_stop(dw__decoder *decoder);

/* Memory for an answer. _new: size bytes, zeroed, its size fixed. _take: after the request, made unchangeable
 * for the decoder, mapped (private, writable) and owned by the arena. fd  closed by the caller Errors
 * DW_NO_MEMORY; DW_CORRUPT the decoder holds on to it */
dw_status dw__memory_new(size_t size, int *fd, dw_error *err);
dw_status dw__memory_take(const dw_photo *photo, int fd, size_t size, dw_arena *arena, void **out,
                          dw_error *err);

#endif
