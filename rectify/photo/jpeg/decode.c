#include "decode.h"

#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <jerror.h>

#include "colour.h"

// Rows decoded before they are placed. 64 rows of 50 MP still fit the second
// level cache, and a turned picture then gets whole cache lines per column.
enum { STRIP_ROWS = 64 };

// Stray bytes before the end marker that are let pass: some phones pad.
enum { MAX_STRAY_BYTES = 16 };

typedef struct {
	struct jpeg_error_mgr errors; // must be first: libjpeg hands it back
	struct jpeg_progress_mgr progress;
	jmp_buf jump;
	struct jpeg_decompress_struct cinfo;
	const unsigned char *data;
	const fw_jpeg_order *order; // NULL while only the header is read
	fw_jpeg_result *out;
	int has_header; // libjpeg may be asked about scans only from then on
	unsigned char *strip, *strip_rgb, *strip_luma;
} decoder;

static decoder *owner(j_common_ptr cinfo) { return (decoder *)cinfo->err; }

static void stop(decoder *d, int status)
{
	d->out->status = status;
	longjmp(d->jump, 1);
}

static int in_scans(decoder *d) { return d->has_header && jpeg_has_multiple_scans(&d->cinfo); }

static void note(decoder *d)
{
	char text[JMSG_LENGTH_MAX];
	d->errors.format_message((j_common_ptr)&d->cinfo, text);
	snprintf(d->out->message, sizeof d->out->message, "%s", text);
	d->out->rows = (int)d->cinfo.output_scanline;
	d->out->scan = d->cinfo.input_scan_number;
	d->out->progressive = in_scans(d);
}

static void on_error(j_common_ptr cinfo)
{
	decoder *d = owner(cinfo);
	note(d);
	stop(d, FW_ERROR);
}

// Whether the bytes that were skipped before a marker are mere padding before
// the end of the picture.
static int is_padding(decoder *d)
{
	int skipped = d->errors.msg_parm.i[0];
	const unsigned char *end = d->cinfo.src->next_input_byte;
	if (d->errors.msg_parm.i[1] != 0xd9)
		return 0;
	if (skipped <= MAX_STRAY_BYTES)
		return 1;
	if (end - d->data < skipped)
		return 0;
	for (const unsigned char *p = end - skipped; p < end; p++)
		if (*p != 0)
			return 0;
	return 1;
}

static int is_harmless(decoder *d)
{
	switch (d->errors.msg_code) {
	case JWRN_JFIF_MAJOR:
	case JWRN_ADOBE_XFORM:
	case JWRN_BOGUS_ICC:
		return 1;
	case JWRN_JPEG_EOF:
		// The end marker alone is missing, or else another warning follows;
		// but of a picture in several scans whole scans may be missing.
		return !in_scans(d);
	case JWRN_EXTRANEOUS_DATA:
		return is_padding(d);
	}
	return 0;
}

// libjpeg warns and invents grey pixels where data is missing; here the first
// such warning ends the work.
static void on_message(j_common_ptr cinfo, int level)
{
	decoder *d = owner(cinfo);
	if (level >= 0 || is_harmless(d))
		return;
	note(d);
	stop(d, FW_DAMAGED);
}

static void on_output(j_common_ptr cinfo) { (void)cinfo; }

static void check_cancel(decoder *d)
{
	if (d->order && __atomic_load_n(d->order->cancel, __ATOMIC_RELAXED))
		stop(d, FW_CANCELLED);
}

static void on_progress(j_common_ptr cinfo)
{
	decoder *d = owner(cinfo);
	check_cancel(d);
	if (d->order && d->cinfo.input_scan_number > d->order->max_scans)
		stop(d, FW_SCANS);
}

// The decoder lives on the heap: what a longjmp leaves of changed locals is
// undefined.
static decoder *open_decoder(const unsigned char *data, const fw_jpeg_order *order, fw_jpeg_result *out)
{
	decoder *d = calloc(1, sizeof *d);
	if (!d) {
		out->status = FW_ERROR;
		snprintf(out->message, sizeof out->message, "out of memory");
		return NULL;
	}
	d->data = data;
	d->order = order;
	d->out = out;
	d->cinfo.err = jpeg_std_error(&d->errors);
	d->errors.error_exit = on_error;
	d->errors.emit_message = on_message;
	d->errors.output_message = on_output;
	d->progress.progress_monitor = on_progress;
	return d;
}

static void close_decoder(decoder *d)
{
	jpeg_destroy_decompress(&d->cinfo);
	free(d->strip);
	free(d->strip_rgb);
	free(d->strip_luma);
	free(d);
}

static void start(decoder *d, const unsigned char *data, size_t n)
{
	jpeg_create_decompress(&d->cinfo);
	d->cinfo.progress = &d->progress;
	jpeg_mem_src(&d->cinfo, (unsigned char *)data, (unsigned long)n);
	jpeg_read_header(&d->cinfo, TRUE);
	d->has_header = 1;
}

void fw_jpeg_read_header(const unsigned char *data, size_t n, fw_jpeg_header *out)
{
	memset(out, 0, sizeof *out);
	decoder *d = open_decoder(data, NULL, &out->result);
	if (!d)
		return;
	if (!setjmp(d->jump)) {
		start(d, data, n);
		out->width = (int)d->cinfo.image_width;
		out->height = (int)d->cinfo.image_height;
		out->components = d->cinfo.num_components;
	}
	close_decoder(d);
}

// Chooses the colours that libjpeg is to deliver, and who makes RGB of them.
static fw_colour choose_colours(decoder *d)
{
	struct jpeg_decompress_struct *c = &d->cinfo;
	switch (c->jpeg_color_space) {
	case JCS_GRAYSCALE:
		c->out_color_space = JCS_GRAYSCALE;
		return FW_GREY;
	case JCS_YCbCr:
		c->out_color_space = JCS_YCbCr;
		return FW_YCC;
	case JCS_RGB:
		c->out_color_space = JCS_RGB;
		return FW_RGB;
	case JCS_CMYK:
	case JCS_YCCK:
		c->out_color_space = JCS_CMYK;
		// Files with the Adobe marker hold inverted inks.
		return c->saw_Adobe_marker ? FW_CMYK_INVERTED : FW_CMYK;
	default:
		snprintf(d->out->message, sizeof d->out->message, "%d colour components", c->num_components);
		stop(d, FW_CODING);
		return FW_GREY;
	}
}

// libjpeg cannot tell missing or corrupt data from sound ones in arithmetic
// coding, which no camera writes.
static void refuse_arithmetic(decoder *d)
{
	if (!d->cinfo.arith_code)
		return;
	snprintf(d->out->message, sizeof d->out->message, "arithmetic coding");
	stop(d, FW_CODING);
}

static void allocate_strips(decoder *d)
{
	size_t pixels = (size_t)d->cinfo.output_width * STRIP_ROWS;
	d->strip = malloc(pixels * (size_t)d->cinfo.output_components);
	d->strip_rgb = malloc(pixels * 3 + 1); // the last pixel is read as a word
	d->strip_luma = malloc(pixels);
	if (!d->strip || !d->strip_rgb || !d->strip_luma)
		ERREXIT1(&d->cinfo, JERR_OUT_OF_MEMORY, 0);
}

static int read_strip(decoder *d)
{
	struct jpeg_decompress_struct *c = &d->cinfo;
	size_t stride = (size_t)c->output_width * (size_t)c->output_components;
	JSAMPROW rows[STRIP_ROWS];
	int n = 0;
	for (int i = 0; i < STRIP_ROWS; i++)
		rows[i] = d->strip + (size_t)i * stride;
	while (n < STRIP_ROWS && c->output_scanline < c->output_height)
		n += (int)jpeg_read_scanlines(c, rows + n, (JDIMENSION)(STRIP_ROWS - n));
	return n;
}

// A line of pixels in the strip and the places it goes to, in pixels.
typedef struct {
	long from, from_step, to, to_step;
	int n;
} line;

// Copies a line. Where the places adjoin, upwards, whole words are written,
// whose last byte the next pixel overwrites.
static void place_line(const decoder *d, line l, unsigned char *rgb, unsigned char *luma)
{
	if (l.to_step == -1)
		l = (line){l.from + (l.n - 1) * l.from_step, -l.from_step, l.to - (l.n - 1), 1, l.n};
	const unsigned char *from = d->strip_rgb + 3 * l.from, *from_luma = d->strip_luma + l.from;
	int words = l.to_step == 1 ? l.n - 1 : 0;
	rgb += 3 * l.to;
	luma += l.to;
	for (int i = 0; i < words; i++)
		memcpy(rgb + 3 * i, from + 3 * l.from_step * i, 4);
	for (int i = words; i < l.n; i++)
		memcpy(rgb + 3 * l.to_step * i, from + 3 * l.from_step * i, 3);
	for (int i = 0; i < l.n; i++)
		luma[l.to_step * i] = from_luma[l.from_step * i];
}

// Copies n converted rows, the first of which is row y as stored, to their
// places, by rows or by columns as the places adjoin.
static void scatter(const decoder *d, int y, int n, unsigned char *rgb, unsigned char *luma)
{
	const fw_jpeg_order *o = d->order;
	long w = (long)d->cinfo.output_width, at = o->base + y * o->step_y;
	if (o->step_y != 1 && o->step_y != -1) {
		for (int i = 0; i < n; i++)
			place_line(d, (line){i * w, 1, at + i * o->step_y, o->step_x, (int)w}, rgb, luma);
		return;
	}
	for (long x = 0; x < w; x++)
		place_line(d, (line){x, w, at + x * o->step_x, o->step_y, n}, rgb, luma);
}

static void place_strip(const decoder *d, fw_colour colour, int y, int n,
	unsigned char *rgb, unsigned char *luma)
{
	size_t w = d->cinfo.output_width;
	size_t stride = w * (size_t)d->cinfo.output_components;
	int direct = d->order->step_x == 1;
	for (int i = 0; i < n; i++) {
		size_t at = direct ? (size_t)(d->order->base + (long)(y + i) * d->order->step_y) : (size_t)i * w;
		fw_to_rgb(colour, d->strip + (size_t)i * stride, w,
			(direct ? rgb : d->strip_rgb) + 3 * at, (direct ? luma : d->strip_luma) + at);
	}
	if (!direct)
		scatter(d, y, n, rgb, luma);
}

static void run(decoder *d, unsigned char *rgb, unsigned char *luma)
{
	struct jpeg_decompress_struct *c = &d->cinfo;
	refuse_arithmetic(d);
	fw_colour colour = choose_colours(d);
	c->dct_method = JDCT_ISLOW;
	c->do_fancy_upsampling = TRUE;
	jpeg_start_decompress(c);
	if ((int)c->output_width != d->order->width || (int)c->output_height != d->order->height)
		ERREXIT(c, JERR_BAD_STATE);
	allocate_strips(d);
	while (c->output_scanline < c->output_height) {
		check_cancel(d);
		int y = (int)c->output_scanline;
		int n = read_strip(d);
		place_strip(d, colour, y, n, rgb, luma);
	}
	jpeg_finish_decompress(c);
}

void fw_jpeg_decode(const unsigned char *data, size_t n, const fw_jpeg_order *order,
	unsigned char *rgb, unsigned char *luma, fw_jpeg_result *out)
{
	memset(out, 0, sizeof *out);
	decoder *d = open_decoder(data, order, out);
	if (!d)
		return;
	if (!setjmp(d->jump)) {
		start(d, data, n);
		run(d, rgb, luma);
	}
	close_decoder(d);
}

void fw_jpeg_raise(int *cancel) { __atomic_store_n(cancel, 1, __ATOMIC_RELAXED); }
