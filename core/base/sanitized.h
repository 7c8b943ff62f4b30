/* Whether this build carries the address sanitizer, whose runtime needs more memory and more system calls. */
#ifndef DROPWISE_BASE_SANITIZED_H
#define DROPWISE_BASE_SANITIZED_H

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define DW__ADDRESS_SANITIZER 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__)
#define DW__ADDRESS_SANITIZER 1
#endif

#endif
