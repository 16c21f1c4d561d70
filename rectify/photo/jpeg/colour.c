#include "colour.h"

#include <string.h>

// Fixed point with 16 fractional bits, ITU-T T.871 section 7.
enum { HALF = 1 << 15, CR_R = 91881, CB_G = 22554, CR_G = 46802, CB_B = 116130 };
// ITU-R BT.601 weights of red, green and blue; they add up to 1 << 16.
enum { LUMA_R = 19595, LUMA_G = 38470, LUMA_B = 7471 };

static inline unsigned char clamp(int v) { return (unsigned char)(v < 0 ? 0 : v > 255 ? 255 : v); }

static inline unsigned char luma_of(int r, int g, int b)
{
	return (unsigned char)((LUMA_R * r + LUMA_G * g + LUMA_B * b + HALF) >> 16);
}

// The luminance is the one that was coded: RGB would have lost what was
// clamped, and smears it with the coarser colour differences.
static void from_ycc(const unsigned char *in, size_t n, unsigned char *rgb, unsigned char *luma)
{
	for (size_t i = 0; i < n; i++) {
		int y = in[3 * i], cb = in[3 * i + 1] - 128, cr = in[3 * i + 2] - 128;
		luma[i] = (unsigned char)y;
		rgb[3 * i] = clamp(y + ((CR_R * cr + HALF) >> 16));
		rgb[3 * i + 1] = clamp(y + ((HALF - CB_G * cb - CR_G * cr) >> 16));
		rgb[3 * i + 2] = clamp(y + ((CB_B * cb + HALF) >> 16));
	}
}

static void from_rgb(const unsigned char *in, size_t n, unsigned char *rgb, unsigned char *luma)
{
	memcpy(rgb, in, 3 * n);
	for (size_t i = 0; i < n; i++)
		luma[i] = luma_of(in[3 * i], in[3 * i + 1], in[3 * i + 2]);
}

static void from_grey(const unsigned char *in, size_t n, unsigned char *rgb, unsigned char *luma)
{
	memcpy(luma, in, n);
	for (size_t i = 0; i < n; i++)
		memset(rgb + 3 * i, in[i], 3);
}

// Without the ink profile this is near enough to see edges by.
static void from_cmyk(const unsigned char *in, size_t n, unsigned char invert, unsigned char *rgb, unsigned char *luma)
{
	for (size_t i = 0; i < n; i++) {
		int k = in[4 * i + 3] ^ invert;
		for (size_t c = 0; c < 3; c++)
			rgb[3 * i + c] = (unsigned char)(((in[4 * i + c] ^ invert) * k + 127) / 255);
		luma[i] = luma_of(rgb[3 * i], rgb[3 * i + 1], rgb[3 * i + 2]);
	}
}

void fw_to_rgb(fw_colour colour, const unsigned char *in, size_t n, unsigned char *rgb, unsigned char *luma)
{
	switch (colour) {
	case FW_GREY:
		from_grey(in, n, rgb, luma);
		break;
	case FW_YCC:
		from_ycc(in, n, rgb, luma);
		break;
	case FW_RGB:
		from_rgb(in, n, rgb, luma);
		break;
	case FW_CMYK:
		from_cmyk(in, n, 0xff, rgb, luma);
		break;
	case FW_CMYK_INVERTED:
		from_cmyk(in, n, 0, rgb, luma);
		break;
	}
}
