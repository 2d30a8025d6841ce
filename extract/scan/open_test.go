package scan

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"windtally/extract"
)

// ramp is a picture whose every pixel is known: luminance 10x + 20y.
func ramp() *image.Gray {
	img := image.NewGray(image.Rect(0, 0, 12, 6))
	for y := range 6 {
		for x := range 12 {
			img.SetGray(x, y, color.Gray{uint8(10*x + 20*y)})
		}
	}
	return img
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// chunk is one chunk of a PNG file.
func chunk(kind string, body []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, kind...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// withChunk puts a chunk behind the head of a PNG file.
func withChunk(file []byte, c []byte) []byte {
	return bytes.Join([][]byte{file[:33], c, file[33:]}, nil)
}

// headPNG is a PNG file that claims a size and brings almost no data.
func headPNG(w, h uint32, depth, kind byte) []byte {
	body := binary.BigEndian.AppendUint32(nil, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, depth, kind, 0, 0, 0)
	return bytes.Join([][]byte{[]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", body),
		chunk("IDAT", []byte{0x78, 0x9c, 0x63, 0, 0, 0, 1, 0, 1}), chunk("IEND", nil)}, nil)
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withSegment puts a segment behind the first marker of a JPEG file.
func withSegment(file []byte, marker byte, body []byte) []byte {
	s := []byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}
	return bytes.Join([][]byte{file[:2], s, body, file[2:]}, nil)
}

func tiffOf(t testing.TB, img image.Image, c tiff.CompressionType) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, &tiff.Options{Compression: c}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// rawTIFF is a little-endian TIFF file of directories, each a list of tag, type,
// count and value; next tells where the last directory says that another one is.
func rawTIFF(next uint32, pages ...[][4]uint32) []byte {
	b := []byte("II*\x00\x08\x00\x00\x00")
	for i, p := range pages {
		b = binary.LittleEndian.AppendUint16(b, uint16(len(p)))
		for _, e := range p {
			b = binary.LittleEndian.AppendUint16(b, uint16(e[0]))
			b = binary.LittleEndian.AppendUint16(b, uint16(e[1]))
			b = binary.LittleEndian.AppendUint32(b, e[2])
			b = binary.LittleEndian.AppendUint32(b, e[3])
		}
		if i+1 < len(pages) {
			b = binary.LittleEndian.AppendUint32(b, uint32(len(b)+4))
		} else {
			b = binary.LittleEndian.AppendUint32(b, next)
		}
	}
	return b
}

// grey8 is the directory of an uncompressed grey page whose one strip is at an offset.
func grey8(w, h, offset uint32) [][4]uint32 {
	return [][4]uint32{{256, 4, 1, w}, {257, 4, 1, h}, {258, 3, 1, 8}, {259, 3, 1, 1}, {262, 3, 1, 1},
		{273, 4, 1, offset}, {277, 3, 1, 1}, {278, 4, 1, h}, {279, 4, 1, w * h}}
}

// changed returns a directory with entries replaced or added in their order.
func changed(d [][4]uint32, with ...[4]uint32) [][4]uint32 {
	out := [][4]uint32{}
	for _, e := range d {
		for len(with) > 0 && with[0][0] < e[0] {
			out, with = append(out, with[0]), with[1:]
		}
		if len(with) > 0 && with[0][0] == e[0] {
			e, with = with[0], with[1:]
		}
		out = append(out, e)
	}
	return append(out, with...)
}

func TestBadImages(t *testing.T) {
	good, photo := pngOf(t, ramp()), jpegOf(t, ramp())
	wide := jpegOf(t, ramp())
	sof := bytes.Index(wide, []byte{0xff, 0xc0})
	copy(wide[sof+5:], []byte{0xff, 0xff, 0xff, 0xff})
	progressive := jpegOf(t, image.NewRGBA(image.Rect(0, 0, 16, 16)))
	sof = bytes.Index(progressive, []byte{0xff, 0xc0})
	progressive[sof+1] = 0xc2
	copy(progressive[sof+5:], []byte{0x1f, 0x40, 0x1b, 0x58}) // 8000 x 7000
	liar := jpegOf(t, ramp())
	sof = bytes.Index(liar, []byte{0xff, 0xc0})
	copy(liar[sof+5:], []byte{0x17, 0x70, 0x17, 0x70}) // 6000 x 6000
	var animation bytes.Buffer
	frame := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.White, color.Black})
	if err := gif.EncodeAll(&animation, &gif.GIF{Image: []*image.Paletted{frame, frame}, Delay: []int{1, 1}}); err != nil {
		t.Fatal(err)
	}
	fax := grey8(64, 64, 8)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty.png", nil, "the file is empty: want a page image as PNG, JPEG or TIFF"},
		{"text.png", []byte("alpha,CL,CD\n"), `not an image, it begins with "alpha,CL": want a page image as PNG, JPEG or TIFF`},
		{"page.pdf", []byte("%PDF-1.4\n"), "this is a PDF file, not an image: want it given as a paged source"},
		{"page.bmp", []byte("BM\x00\x00\x00\x00"), "a Windows bitmap is not read: want a page image as PNG, JPEG or TIFF"},
		{"page.webp", []byte("RIFF\x00\x00\x00\x00WEBPVP8 "), "WebP is not read: want the scan itself as PNG, JPEG or TIFF"},
		{"page.jp2", []byte("\x00\x00\x00\x0cjP  \r\n\x87\n"), "JPEG 2000 is not read: want a page image as PNG, JPEG or TIFF"},
		{"page.heic", []byte("\x00\x00\x00\x18ftypheic"), "HEIF or AVIF is not read: want a page image as PNG, JPEG or TIFF"},
		{"big.tif", []byte("II+\x00\x08\x00\x00\x00"), "BigTIFF is not read: want classic TIFF, PNG or JPEG"},
		{"animated.gif", animation.Bytes(), "GIF is not read, for it may be animated and holds few greys: want the scan itself as PNG, JPEG or TIFF"},
		{"animated.png", withChunk(good, chunk("acTL", make([]byte, 8))), "an animated PNG is not read: want the page as one still image"},
		{"zero.png", headPNG(0, 100, 8, 0), "the image claims to have 0 x 100 pixels: want at least 1 x 1"},
		{"broad.png", headPNG(100_000, 100_000, 8, 0), "the image claims to have 100000 x 100000 pixels: want sides of at most 30000"},
		{"vast.png", headPNG(0xffffffff, 1, 8, 0), "the image claims to have 2147483647 x 1 pixels: want sides of at most 30000"},
		{"large.png", headPNG(29_000, 29_000, 8, 0), "the image claims to have 29000 x 29000 pixels: want at most 60000000 in all; a page at 600 dpi has about 34 million"},
		{"deep.png", headPNG(8000, 8000-500, 16, 6), "would take 480000000 bytes"},
		{"liar.png", headPNG(7000, 8000, 8, 2), "the PNG data end before the 7000 x 8000 pixels are complete: want the whole file"},
		{"cut.png", good[:len(good)-17], "the PNG data end before the 12 x 6 pixels are complete: want the whole file"},
		{"head.png", good[:20], "the PNG file ends before its data begin: want the whole file"},
		{"nodata.png", bytes.Join([][]byte{good[:33], chunk("IEND", nil)}, nil), "the PNG file has no data: want an IDAT chunk before IEND"},
		{"order.png", bytes.Join([][]byte{good[:8], chunk("gAMA", make([]byte, 4)), good[8:]}, nil), `the PNG file begins with chunk "gAMA" of 4 bytes: want IHDR of 13`},
		{"cut.jpg", photo[:len(photo)-20], "the JPEG data end before the 12 x 6 pixels are complete: want the whole file"},
		{"head.jpg", photo[:30], "the JPEG file ends before its frame header: want the whole file"},
		{"wide.jpg", wide, "the image claims to have 65535 x 65535 pixels: want sides of at most 30000"},
		{"progressive.jpg", progressive, "the image of 7000 x 8000 pixels would take 840000000 bytes to decode: want at most 524288000, so 8 bits a channel and, as JPEG, not progressive"},
		{"liar.jpg", liar, "the JPEG data"},
		{"marker.jpg", []byte("\xff\xd8\xff\xe0\x00\x04ab....."), "the JPEG file has 0x2e at byte 8: want a marker"},
		{"noframe.jpg", []byte("\xff\xd8\xff\xda\x00\x02"), "the JPEG file has no frame header before its data: want a whole image"},
		{"head.tif", []byte("II*\x00"), "the TIFF file ends within its header: want the whole file"},
		{"nowhere.tif", []byte("II*\x00\xff\xff\x00\x00"), "the TIFF file ends within the directory at byte 65535: want the whole file"},
		{"none.tif", []byte("II*\x00\x00\x00\x00\x00"), "the TIFF file has no page: want at least one directory of a full image"},
		{"loop.tif", rawTIFF(8, grey8(4, 4, 8)), "the TIFF directory at byte 8 is reached twice: want a list of pages that ends"},
		{"zero.tif", rawTIFF(0, grey8(0, 4, 8)), "the image claims to have 0 x 4 pixels: want at least 1 x 1"},
		{"broad.tif", rawTIFF(0, grey8(100_000, 100_000, 8)), "the image claims to have 100000 x 100000 pixels: want sides of at most 30000"},
		{"liar.tif", rawTIFF(0, grey8(7000, 7000, 8)), "the TIFF data end before the 7000 x 7000 pixels are complete: want the whole file"},
		{"strips.tif", rawTIFF(0, changed(grey8(64, 64, 8), [4]uint32{273, 4, 0x3fffffff, 8}, [4]uint32{279, 4, 0x3fffffff, 8})), "the TIFF data are broken"},
		{"tiles.tif", rawTIFF(0, changed(grey8(20000, 3000, 8), [4]uint32{322, 4, 1, 8}, [4]uint32{323, 4, 1, 8}, [4]uint32{324, 4, 0x0fffffff, 8}, [4]uint32{325, 4, 0x0fffffff, 8})), "the TIFF data end before the 20000 x 3000 pixels are complete: want the whole file"},
		{"cmyk.tif", rawTIFF(0, changed(fax, [4]uint32{262, 3, 1, 5})), "the TIFF page has CMYK colours: want grey, RGB or two-level"},
		{"planes.tif", rawTIFF(0, changed(fax, [4]uint32{262, 3, 1, 2}, [4]uint32{277, 3, 1, 3}, [4]uint32{284, 3, 1, 2})), "the TIFF page keeps its colours in separate planes: want them pixel by pixel, or grey"},
		{"jpeg.tif", rawTIFF(0, changed(fax, [4]uint32{259, 3, 1, 7})), "the TIFF page is compressed as JPEG: want CCITT, LZW, deflate or none, or a JPEG file"},
		{"g32d.tif", rawTIFF(0, changed(fax, [4]uint32{258, 3, 1, 1}, [4]uint32{259, 3, 1, 3}, [4]uint32{292, 4, 1, 1})), "the TIFF page is compressed as CCITT Group 3 in a form that is not read: want Group 4, LZW, deflate or none"},
		{"lsb.tif", rawTIFF(0, changed(fax, [4]uint32{258, 3, 1, 1}, [4]uint32{266, 3, 1, 2})), "the TIFF page has its bits from the lowest up: want fill order 1"},
	} {
		path := filepath.Join(t.TempDir(), c.name)
		if err := os.WriteFile(path, c.data, 0o644); err != nil {
			t.Fatal(err)
		}
		f, err := Open(path)
		if err == nil {
			_, _, err = f.Frame(1)
		}
		check := func(how string, err error) {
			var e *extract.Error
			switch {
			case err == nil:
				t.Errorf("%s %s: no error, want %q", c.name, how, c.want)
			case !errors.As(err, &e) || e.File != c.name:
				t.Errorf("%s %s: error %q does not name the file alone", c.name, how, err)
			case !strings.Contains(err.Error(), c.want):
				t.Errorf("%s %s: error %q, want %q", c.name, how, err, c.want)
			}
		}
		if c.name == "deep.png" {
			// Just within the bound: only its data are short.
			c.want = "the PNG data end before the 8000 x 7500 pixels are complete: want the whole file"
		}
		check("from its file", err)
		_, _, err = Decode(c.data, c.name)
		check("from memory", err)
	}
}

func TestOpenRefusesFiles(t *testing.T) {
	dir := t.TempDir()
	huge := filepath.Join(dir, "huge.png")
	f, err := os.Create(huge)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Truncate(201 << 20); err != nil {
		t.Fatal(err)
	}
	f.Close()
	for path, want := range map[string]string{
		huge:                             "huge.png: the file has 210763776 bytes: want at most 209715200",
		dir:                              "not a regular file: want a page image as PNG, JPEG or TIFF",
		filepath.Join(dir, "absent.png"): "absent.png: cannot be opened: no such file or directory",
	} {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), dir+"/") {
			t.Errorf("error %v, want %q without the folder", err, want)
		}
	}
}

// Every byte of small sound files is changed, and every length of them is cut: an
// image or an error comes back, never a panic.
func TestBrokenBytes(t *testing.T) {
	for name, data := range map[string][]byte{
		"a.png": pngOf(t, ramp()), "a.jpg": jpegOf(t, ramp()),
		"a.tif": tiffOf(t, ramp(), tiff.Deflate), "b.tif": tiffOf(t, ramp(), tiff.Uncompressed),
	} {
		sound := 0
		for i := range data {
			for _, bits := range []byte{0x01, 0x80, 0xff} {
				b := bytes.Clone(data)
				b[i] ^= bits
				if _, _, err := Decode(b, name); err == nil {
					sound++
				}
			}
			if _, _, err := Decode(data[:i], name); err == nil && !strings.HasSuffix(name, ".tif") {
				t.Errorf("%s cut to %d of %d bytes is taken as whole", name, i, len(data))
			}
		}
		if sound == 3*len(data) {
			t.Errorf("%s: no change of a byte is noticed", name)
		}
	}
}

// The same picture in every form that is read comes out with the same greys.
func TestForms(t *testing.T) {
	base := ramp()
	b := base.Bounds()
	deep := image.NewGray16(b)
	clear := image.NewNRGBA(b)
	colours := image.NewRGBA(b)
	named := image.NewPaletted(b, nil)
	for i := range 256 {
		named.Palette = append(named.Palette, color.Gray{uint8(i)})
	}
	alpha16 := image.NewNRGBA64(b)
	for y := range 6 {
		for x := range 12 {
			v := base.GrayAt(x, y).Y
			deep.SetGray16(x, y, color.Gray16{uint16(v) * 257})
			// Black ink of a strength that shows v on white.
			clear.SetNRGBA(x, y, color.NRGBA{0, 0, 0, 255 - v})
			alpha16.SetNRGBA64(x, y, color.NRGBA64{0, 0, 0, 0xffff - uint16(v)*257})
			colours.SetRGBA(x, y, color.RGBA{v, v, v, 255})
			named.SetColorIndex(x, y, v)
		}
	}
	for _, c := range []struct {
		name string
		data []byte
		by   int
	}{
		{"grey.png", pngOf(t, base), 0},
		{"grey16.png", pngOf(t, deep), 0},
		{"alpha.png", pngOf(t, clear), 1},
		{"alpha16.png", pngOf(t, alpha16), 1},
		{"rgb.png", pngOf(t, colours), 0},
		{"palette.png", pngOf(t, named), 0},
		{"grey.jpg", jpegOf(t, base), 6},
		{"rgb.jpg", jpegOf(t, colours), 6},
		{"grey.tif", tiffOf(t, base, tiff.Uncompressed), 0},
		{"deflate.tif", tiffOf(t, base, tiff.Deflate), 0},
		{"grey16.tif", tiffOf(t, deep, tiff.Deflate), 0},
		{"rgb.tif", tiffOf(t, colours, tiff.Deflate), 0},
		{"alpha.tif", tiffOf(t, clear, tiff.Deflate), 1},
	} {
		img, _, err := Decode(c.data, c.name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for i, v := range grey(img) {
			if d := int(v) - int(base.Pix[i]); d > c.by || d < -c.by {
				t.Errorf("%s: pixel %d is %d, want %d", c.name, i, v, base.Pix[i])
				break
			}
		}
	}
}

// Tool lends tool to the tests from outside the package.
var Tool = tool

// tool runs an outside program, which must be there.
func tool(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env = append(os.Environ(), "OMP_THREAD_LIMIT=1")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s\nhint: the tests need tesseract-ocr, poppler-utils, imagemagick and libtiff-tools", name, args, err, stderr.Bytes())
	}
	return out
}

// Files written by ImageMagick and libtiff: the compressions of scanners, several
// pages, CMYK, interlacing, progressive JPEG, resolutions.
func TestFilesOfOtherPrograms(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	page := twoLevels(table(t, true).Gray)
	if err := os.WriteFile(at("page.png"), pngOf(t, page), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"-density", "300", "-units", "PixelsPerInch", "-monochrome", "-compress", "Group4", "g4.tif"},
		{"-density", "200", "-units", "PixelsPerInch", "-monochrome", "-compress", "Fax", "g3.tif"},
		{"-density", "118.11", "-units", "PixelsPerCentimeter", "-compress", "LZW", "lzw.tif"},
		{"-density", "400", "-units", "PixelsPerInch", "-compress", "RLE", "rle.tif"},
		{"-density", "9999", "-units", "PixelsPerInch", "-compress", "Zip", "zip.tif"},
		{"-density", "300", "-units", "PixelsPerInch", "-colorspace", "CMYK", "-quality", "97", "cmyk.jpg"},
		{"-density", "150", "-units", "PixelsPerInch", "-interlace", "JPEG", "-quality", "97", "progressive.jpg"},
		{"-density", "600", "-units", "PixelsPerInch", "-interlace", "PNG", "interlaced.png"},
		{"-density", "300x200", "-units", "PixelsPerInch", "oblong.png"},
		{"-depth", "16", "-type", "TrueColor", "+set", "density", "-units", "Undefined", "deep.png"},
	} {
		args = append([]string{at("page.png")}, args...)
		args[len(args)-1] = at(args[len(args)-1])
		tool(t, "convert", args...)
	}
	for _, c := range []struct {
		name string
		dpi  float64
	}{
		{"g4.tif", 300}, {"lzw.tif", 300}, {"rle.tif", 400}, {"zip.tif", 0},
		{"cmyk.jpg", 300}, {"progressive.jpg", 150}, {"interlaced.png", 600}, {"oblong.png", 0},
	} {
		f, err := Open(at(c.name))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		img, dpi, err := f.Frame(1)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(dpi-c.dpi) > 0.5 {
			t.Errorf("%s: %g dpi, want %g", c.name, dpi, c.dpi)
		}
		differ := 0
		for i, v := range grey(img) {
			if (v >= 128) != (page.Pix[i] >= 128) {
				differ++
			}
		}
		if differ > 0 {
			t.Errorf("%s: %d pixels differ from the page", c.name, differ)
		}
	}
	// ImageMagick pads the rows of Group 3 to whole bytes.
	want3 := "g3.tif: the TIFF page is compressed as CCITT Group 3 in a form that is not read: want Group 4, LZW, deflate or none"
	if f, err := Open(at("g3.tif")); err != nil {
		t.Error(err)
	} else if _, _, err := f.Frame(1); err == nil || err.Error() != want3 {
		t.Errorf("Group 3 with fill bits: %v, want %q", err, want3)
	}
	// Plain Group 3, with libtiff's own tool.
	tool(t, "tiffcp", "-c", "g3:1d", at("g4.tif"), at("g3plain.tif"))
	if f, err := Open(at("g3plain.tif")); err != nil {
		t.Error(err)
	} else if img, _, err := f.Frame(1); err != nil {
		t.Errorf("plain Group 3: %v", err)
	} else if string(grey(img)) != string(page.Pix) {
		t.Error("plain Group 3: the pixels differ from the page")
	}
	// Several pages, with libtiff's own tool; each page's first bar tells it apart.
	var pages []string
	for n := 1; n <= 3; n++ {
		p := image.NewGray(image.Rect(0, 0, 100*n, 80))
		for i := range p.Pix {
			p.Pix[i] = uint8(50 * n)
		}
		name := at("p" + string(rune('0'+n)) + ".tif")
		if err := os.WriteFile(name, tiffOf(t, p, tiff.Deflate), 0o644); err != nil {
			t.Fatal(err)
		}
		pages = append(pages, name)
	}
	tool(t, "tiffcp", append(append([]string{"-c", "lzw"}, pages...), at("many.tif"))...)
	f, err := Open(at("many.tif"))
	if err != nil {
		t.Fatal(err)
	}
	if f.Frames != 3 {
		t.Fatalf("%d pages, want 3", f.Frames)
	}
	for n := 3; n >= 1; n-- {
		img, _, err := f.Frame(n)
		if err != nil {
			t.Fatal(err)
		}
		if w, v := img.Bounds().Dx(), grey(img)[0]; w != 100*n || v != uint8(50*n) {
			t.Errorf("page %d is %d wide with luminance %d, want %d and %d", n, w, v, 100*n, 50*n)
		}
	}
	if _, _, err := f.Frame(4); err == nil || err.Error() != "many.tif:p4: the file has no such page: want 1 to 3" {
		t.Errorf("page 4: %v", err)
	}
	// Orientation 6: the file is shown turned clockwise by 90 degrees.
	tool(t, "convert", pages[1], at("before.jpg"))
	raw, err := os.ReadFile(at("before.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	exif := append([]byte("Exif\x00\x00"), rawTIFF(0, [][4]uint32{{274, 3, 1, 6}})...)
	if err := os.WriteFile(at("turned.jpg"), withSegment(raw, 0xe1, exif), 0o644); err != nil {
		t.Fatal(err)
	}
	tool(t, "convert", at("turned.jpg"), "-auto-orient", at("oriented.png"))
	want, err := os.ReadFile(at("oriented.png"))
	if err != nil {
		t.Fatal(err)
	}
	a, _, err := Decode(want, "oriented.png")
	if err != nil {
		t.Fatal(err)
	}
	f, err = Open(at("turned.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := f.Frame(1)
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != a.Bounds() || got.Bounds().Dx() != 80 {
		t.Errorf("the turned JPEG is shown as %v, ImageMagick shows it as %v", got.Bounds(), a.Bounds())
	}
}

// Resolution and orientation of every kind, each against ImageMagick's own reading.
func TestOrientations(t *testing.T) {
	dir := t.TempDir()
	base := jpegOf(t, ramp())
	for how := uint32(1); how <= 8; how++ {
		exif := append([]byte("Exif\x00\x00"), rawTIFF(0, [][4]uint32{{274, 3, 1, how}})...)
		data := withSegment(base, 0xe1, exif)
		in, out := filepath.Join(dir, "in.jpg"), filepath.Join(dir, "out.png")
		if err := os.WriteFile(in, data, 0o644); err != nil {
			t.Fatal(err)
		}
		tool(t, "convert", in, "-auto-orient", "-colorspace", "Gray", out)
		raw, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		want, _, err := Decode(raw, "out.png")
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := Decode(data, "in.jpg")
		if err != nil {
			t.Fatal(err)
		}
		if got.Bounds() != want.Bounds() {
			t.Errorf("orientation %d: %v, ImageMagick has %v", how, got.Bounds(), want.Bounds())
			continue
		}
		a, b := grey(got), grey(want)
		for i := range a {
			if d := int(a[i]) - int(b[i]); d > 4 || d < -4 {
				t.Errorf("orientation %d: pixel %d is %d, ImageMagick has %d", how, i, a[i], b[i])
				break
			}
		}
	}
}
