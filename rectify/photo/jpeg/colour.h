#ifndef FLATWRIGHT_JPEG_COLOUR_H
#define FLATWRIGHT_JPEG_COLOUR_H

#include <stddef.h>

typedef enum { FW_GREY, FW_YCC, FW_RGB, FW_CMYK, FW_CMYK_INVERTED } fw_colour;

// Makes n RGB triples and luminances of n pixels as libjpeg delivers them.
void fw_to_rgb(fw_colour colour, const unsigned char *in, size_t n,
	unsigned char *rgb, unsigned char *luma);

#endif
