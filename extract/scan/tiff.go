package scan

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Tags of TIFF 6.0 that are looked at before decoding.
const (
	tagSubfile      = 254
	tagWidth        = 256
	tagLength       = 257
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagFillOrder    = 266
	tagOrientation  = 274
	tagSamples      = 277
	tagXResolution  = 282
	tagYResolution  = 283
	tagPlanar       = 284
	tagT4Options    = 292
	tagResolutionIn = 296
)

// tiffView shows a TIFF file as if page ifd were its first, for a decoder that reads
// the first page alone.
type tiffView struct {
	r   io.ReaderAt
	ifd uint32
	at  int64
}

func (v *tiffView) ReadAt(p []byte, off int64) (int, error) {
	n, err := v.r.ReadAt(p, off)
	if off < 8 && n > 0 {
		var order [2]byte
		if _, err := v.r.ReadAt(order[:], 0); err != nil {
			return 0, err
		}
		var first [4]byte
		if order[0] == 'M' {
			binary.BigEndian.PutUint32(first[:], v.ifd)
		} else {
			binary.LittleEndian.PutUint32(first[:], v.ifd)
		}
		for i := range first {
			if k := int64(4+i) - off; k >= 0 && k < int64(n) {
				p[k] = first[i]
			}
		}
	}
	return n, err
}

func (v *tiffView) Read(p []byte) (int, error) {
	n, err := v.ReadAt(p, v.at)
	v.at += int64(n)
	return n, err
}

// entry is one field of a directory: its numbers, for the tags that are looked at.
type entry struct {
	kind   uint16
	count  uint32
	values []float64
}

// directory is what one image file directory says of a page.
type directory map[uint16]entry

func (d directory) number(tag uint16, absent float64) float64 {
	if e, ok := d[tag]; ok && len(e.values) > 0 {
		return e.values[0]
	}
	return absent
}

func (d directory) dpi() float64 {
	scale := 0.0
	switch d.number(tagResolutionIn, 2) {
	case 2:
		scale = 1
	case 3:
		scale = 2.54
	}
	x := d.number(tagXResolution, 0)
	return believed(x*scale, d.number(tagYResolution, x)*scale)
}

func tiffHead(r io.ReaderAt) (binary.ByteOrder, uint32, error) {
	var head [8]byte
	if _, err := r.ReadAt(head[:], 0); err != nil {
		return nil, 0, errors.New("the TIFF file ends within its header: want the whole file")
	}
	switch string(head[:4]) {
	case "II*\x00":
		return binary.LittleEndian, binary.LittleEndian.Uint32(head[4:]), nil
	case "MM\x00*":
		return binary.BigEndian, binary.BigEndian.Uint32(head[4:]), nil
	}
	return nil, 0, errors.New("not a TIFF header")
}

// readIFD reads the directory at an offset and returns the offset of the next.
func readIFD(r io.ReaderAt, order binary.ByteOrder, at uint32) (directory, uint32, error) {
	short := fmt.Errorf("the TIFF file ends within the directory at byte %d: want the whole file", at)
	var two [2]byte
	if _, err := r.ReadAt(two[:], int64(at)); err != nil {
		return nil, 0, short
	}
	n := int(order.Uint16(two[:]))
	if n == 0 {
		return nil, 0, fmt.Errorf("the TIFF directory at byte %d is empty: want the tags of a page", at)
	}
	raw := make([]byte, 12*n+4)
	if k, err := r.ReadAt(raw, int64(at)+2); err != nil && k < 12*n {
		return nil, 0, short
	}
	size := [...]uint32{0, 1, 1, 2, 4, 8} // bytes of byte, ASCII, short, long, rational
	d := directory{}
	for i := range n {
		p := raw[12*i : 12*i+12]
		tag, kind, count := order.Uint16(p), order.Uint16(p[2:]), order.Uint32(p[4:])
		e := entry{kind: kind, count: count}
		if kind >= 1 && int(kind) < len(size) && kind != 2 {
			take := min(count, 16)
			b := p[8:12]
			if total := uint64(size[kind]) * uint64(count); total > 4 {
				b = make([]byte, size[kind]*take)
				if _, err := r.ReadAt(b, int64(order.Uint32(p[8:]))); err != nil {
					take = 0
				}
			}
			for k := range take {
				switch q := b[k*size[kind]:]; kind {
				case 1:
					e.values = append(e.values, float64(q[0]))
				case 3:
					e.values = append(e.values, float64(order.Uint16(q)))
				case 4:
					e.values = append(e.values, float64(order.Uint32(q)))
				case 5:
					if den := order.Uint32(q[4:]); den != 0 {
						e.values = append(e.values, float64(order.Uint32(q))/float64(den))
					}
				}
			}
		}
		d[tag] = e
	}
	return d, order.Uint32(raw[12*n:]), nil
}

// tiffPages returns the offset of every page. A loop of directories is an error.
func tiffPages(r io.ReaderAt) ([]uint32, error) {
	order, at, err := tiffHead(r)
	if err != nil {
		return nil, err
	}
	var pages []uint32
	seen := map[uint32]bool{}
	for at != 0 {
		if seen[at] {
			return nil, fmt.Errorf("the TIFF directory at byte %d is reached twice: want a list of pages that ends", at)
		}
		seen[at] = true
		if len(seen) > maxFrames {
			return nil, fmt.Errorf("the TIFF file has more than %d directories: want at most that many pages", maxFrames)
		}
		d, next, err := readIFD(r, order, at)
		if err != nil {
			return nil, err
		}
		// Bit 0 is a thumbnail of another page, bit 2 a mask.
		if int(d.number(tagSubfile, 0))&5 == 0 {
			pages = append(pages, at)
		}
		at = next
	}
	if len(pages) == 0 {
		return nil, errors.New("the TIFF file has no page: want at least one directory of a full image")
	}
	return pages, nil
}

// lookAtTIFF reads the directory of a page and refuses the forms that the decoder
// would read wrongly or not at all.
func lookAtTIFF(r io.ReaderAt, ifd uint32) (shape, error) {
	order, _, err := tiffHead(r)
	if err != nil {
		return shape{}, err
	}
	d, _, err := readIFD(r, order, ifd)
	if err != nil {
		return shape{}, err
	}
	s := shape{
		w:      side(uint32(math.Min(d.number(tagWidth, 0), math.MaxUint32))),
		h:      side(uint32(math.Min(d.number(tagLength, 0), math.MaxUint32))),
		dpi:    d.dpi(),
		orient: int(d.number(tagOrientation, 1)),
	}
	bits, samples := d.number(tagBits, 1), d.number(tagSamples, 1)
	held := int64(1)
	if samples > 1 {
		held = 4
	}
	if bits > 8 {
		held *= 2
	}
	s.held = int64(s.w) * int64(s.h) * held
	compression := d.number(tagCompression, 1)
	switch {
	case samples > 1 && d.number(tagPlanar, 1) == 2:
		return s, errors.New("the TIFF page keeps its colours in separate planes: want them pixel by pixel, or grey")
	case d.number(tagPhotometric, 0) == 5:
		return s, errors.New("the TIFF page has CMYK colours: want grey, RGB or two-level")
	case compression == 6 || compression == 7:
		return s, errors.New("the TIFF page is compressed as JPEG: want CCITT, LZW, deflate or none, or a JPEG file")
	case compression == 2 || compression == 3 && d.number(tagT4Options, 0) != 0:
		// The decoder knows rows of one dimension without fill bits alone.
		return s, errors.New("the TIFF page is compressed as CCITT Group 3 in a form that is not read: want Group 4, LZW, deflate or none")
	case d.number(tagFillOrder, 1) == 2 && compression != 3 && compression != 4 && bits < 8:
		return s, errors.New("the TIFF page has its bits from the lowest up: want fill order 1")
	}
	return s, nil
}
