/* Inside photo/decode: a decoder's whole life, behind the seal. */
#ifndef DROPWISE_PHOTO_DECODE_SERVE_H
#define DROPWISE_PHOTO_DECODE_SERVE_H

#include "photo/decode.h"

/* Waits on DW__FD_CHANNEL for the request to open, seals the process, reads DW__FD_PHOTO, and serves requests
 * (photo/wire.h) until the other end is gone. Returns the exit code. formats  NULL-terminated */
int dw__serve(const dw__format *const *formats);

/* The seal of a decoder with these limits. */
dw_status dw__decoder_seal(const dw_photo_limits *limits, dw_error *err);

#endif
