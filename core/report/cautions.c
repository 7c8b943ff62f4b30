#include "dropwise/report.h"

/* Common practice, no source: what anyone who pours is told, and no more than that. */
const char *const dw_cautions[] = {
    "Hot plastisol burns skin at once: wear gloves, long sleeves and eye protection.",
    "Overheated PVC gives off harmful fumes: ventilate well, and stay below the maker's highest temperature.",
    "Keep water away: dry molds, dry cups, no wet hands near hot plastic.",
    "Wear a dust mask rated for it when handling powders.",
    "Follow the maker's data sheet and your local rules; they come before anything said here.",
};
const char dw_caution_line[] =
    "Mind: hot plastisol burns and its fumes harm; gloves, eye protection, air, no "
    "water; the maker's data sheet rules.";
const size_t dw_caution_count = sizeof dw_cautions / sizeof *dw_cautions;
