// One JPEG picture out of memory into memory, by libjpeg, such that no input
// can end the process: every error comes back as a status.
#ifndef FLATWRIGHT_JPEG_DECODE_H
#define FLATWRIGHT_JPEG_DECODE_H

#include <stddef.h>

enum {
	FW_OK = 0,
	FW_ERROR = 1,      // libjpeg cannot go on: message
	FW_DAMAGED = 2,    // data missing or corrupt: message, rows, scan
	FW_CANCELLED = 3,  // the cancel flag was raised
	FW_SCANS = 4,      // more scans than allowed
	FW_CODING = 5,     // a coding that is not handled: message
};

typedef struct {
	int status;
	int rows;        // stored rows that were sound before the damage
	int scan;        // number of the scan in which it was found, from 1
	int progressive; // whether several scans make the picture
	char message[256];
} fw_jpeg_result;

typedef struct {
	int width, height; // as stored
	int components;
	fw_jpeg_result result;
} fw_jpeg_header;

typedef struct {
	int width, height;  // as stored; must be those of the header
	long base, step_x, step_y; // stored (x, y) goes to base + x step_x + y step_y
	int max_scans;
	const int *cancel; // read atomically; non-zero stops the work
} fw_jpeg_order;

void fw_jpeg_read_header(const unsigned char *data, size_t n, fw_jpeg_header *out);

// rgb holds 3 and luma 1 byte for each of width * height pixels.
void fw_jpeg_decode(const unsigned char *data, size_t n, const fw_jpeg_order *order,
	unsigned char *rgb, unsigned char *luma, fw_jpeg_result *out);

void fw_jpeg_raise(int *cancel);

#endif
