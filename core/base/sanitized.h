/* Whether this build carries a sanitizer (of addresses or of threads), whose runtime needs more memory and more system
 * calls. */
#ifndef DROPWISE_BASE_SANITIZED_H
#define DROPWISE_BASE_SANITIZED_H

#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define DW__SANITIZER 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define DW__SANITIZER 1
#endif

#endif
