package weather

import (
	"bufio"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
)

// headBytes is how much of a file is looked at before its rows are read: for
// the layout, the separator, the form of the time and the step.
const headBytes = 256 << 10

// lineReader gives the lines of a plain or gzipped text, with their numbers.
type lineReader struct {
	name   string
	buf    *bufio.Reader
	number int   // of the line last given, from 1
	bytes  int64 // of text so far
	long   int   // number of an over-long line seen by head, 0 for none
	ahead  *readAhead
}

// openLines looks at the first bytes: gzip is unpacked, what is not text is
// refused.
func openLines(ctx context.Context, name string, r io.Reader) (*lineReader, error) {
	l := &lineReader{name: name}
	raw := bufio.NewReaderSize(r, 64<<10)
	magic, err := raw.Peek(4)
	if len(magic) == 0 {
		if err != nil && err != io.EOF {
			return nil, err
		}
		return nil, l.errorf("", "the file is empty")
	}
	if bytes.HasPrefix(magic, []byte("PK\x03\x04")) {
		return nil, l.errorf("", "this is a zip archive: unpack it and give the file inside, plain or gzipped")
	}
	l.buf = bufio.NewReaderSize(raw, headBytes)
	if magic[0] == 0x1f && len(magic) > 1 && magic[1] == 0x8b {
		z, err := gzip.NewReader(raw)
		if err != nil {
			return nil, l.readError(err)
		}
		z.Multistream(false)
		l.ahead = newReadAhead(ctx, &members{raw, z})
		l.buf = bufio.NewReaderSize(l.ahead, headBytes)
	}
	return l, l.refuseBinary()
}

func (l *lineReader) refuseBinary() error {
	head, err := l.buf.Peek(headBytes)
	if err != nil && err != io.EOF && len(head) == 0 {
		l.close()
		return l.readError(err)
	}
	if len(head) == 0 {
		l.close()
		return l.errorf("", "the file is empty")
	}
	if i := bytes.IndexByte(head, 0); i >= 0 {
		l.close()
		return l.errorf("", "this is not text (byte %d is zero): a text file, plain or gzipped, was expected", i)
	}
	if bom := []byte("\xef\xbb\xbf"); bytes.HasPrefix(head, bom) {
		_, _ = l.buf.Discard(len(bom))
	}
	return nil
}

// head returns the first lines without taking them.
func (l *lineReader) head() [][]byte {
	head, err := l.buf.Peek(headBytes)
	if err == nil { // there is more: the last line is cut off
		whole := bytes.LastIndexByte(head, '\n') + 1
		if len(head)-whole > MaxLine {
			l.long = 1 + bytes.Count(head[:whole], []byte("\n"))
		}
		head = head[:whole]
	}
	lines := bytes.Split(bytes.TrimSuffix(head, []byte("\n")), []byte("\n"))
	for i := range lines {
		lines[i] = trimEnd(lines[i])
	}
	return lines
}

// next returns the next line without its end; it is valid until the next call.
func (l *lineReader) next() ([]byte, error) {
	line, err := l.buf.ReadSlice('\n')
	l.number++
	l.bytes += int64(len(line))
	switch {
	case err == bufio.ErrBufferFull || len(line) > MaxLine:
		return nil, l.tooLong()
	case l.bytes > MaxBytes:
		return nil, l.errorf("", "more than %d MiB of text: thin the file out or cut it into years", MaxBytes>>20)
	case err == io.EOF && len(line) > 0:
		return trimEnd(line), nil
	case err == io.EOF:
		l.number--
		return nil, io.EOF
	case err != nil:
		return nil, l.readError(err)
	}
	return trimEnd(line), nil
}

func (l *lineReader) tooLong() error {
	return l.errorf("", "the line is longer than %d bytes: is this a table with one row a line?", MaxLine)
}

func trimEnd(line []byte) []byte {
	n := len(line)
	if n > 0 && line[n-1] == '\n' {
		n--
	}
	if n > 0 && line[n-1] == '\r' {
		n--
	}
	return line[:n]
}

func (l *lineReader) readError(err error) error {
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, errTrailing):
		return l.errorf("", "the gzip data are whole, but %v: take away what was appended", err)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return l.errorf("", "the gzip data end in the middle: the file was not copied whole")
	case errors.Is(err, gzip.ErrHeader), errors.Is(err, gzip.ErrChecksum), errors.As(err, &corrupt):
		return l.errorf("", "the gzip data are damaged (%v): copy the file again", err)
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	}
	return &readFailure{FileError{File: l.name, Line: l.number, Text: "cannot be read: " + err.Error()}, err}
}

// readFailure is an error of the machine, not of the file's words.
type readFailure struct {
	FileError
	cause error
}

func (e *readFailure) Unwrap() []error { return []error{&e.FileError, e.cause} }

func (l *lineReader) errorf(column, format string, args ...any) error {
	return &FileError{File: l.name, Line: l.number, Column: column, Text: fmt.Sprintf(format, args...)}
}

func (l *lineReader) close() {
	if l.ahead != nil {
		l.ahead.close()
	}
}

// members reads gzip data that may be joined of several files, as RFC 1952
// allows.
type members struct {
	raw *bufio.Reader
	z   *gzip.Reader
}

var errTrailing = errors.New("bytes that are not gzip stand behind them")

// Read implements io.Reader.
func (m *members) Read(p []byte) (int, error) {
	n, err := m.z.Read(p)
	if err != io.EOF {
		return n, err
	}
	magic, err := m.raw.Peek(2)
	switch {
	case len(magic) == 0:
		return n, err
	case len(magic) < 2 || magic[0] != 0x1f || magic[1] != 0x8b:
		return n, errTrailing
	}
	err = m.z.Reset(m.raw)
	m.z.Multistream(false)
	return n, err
}

// readAhead unpacks in the background, so that unpacking and reading numbers
// share the time.
type readAhead struct {
	ctx    context.Context
	cancel context.CancelFunc
	full   chan chunk
	empty  chan []byte
	now    chunk
	rest   []byte
	done   chan struct{}
}

type chunk struct {
	data []byte
	err  error
}

func newReadAhead(ctx context.Context, r io.Reader) *readAhead {
	ctx, cancel := context.WithCancel(ctx)
	a := &readAhead{ctx: ctx, cancel: cancel,
		full: make(chan chunk, 2), empty: make(chan []byte, 3), done: make(chan struct{})}
	for range cap(a.empty) {
		a.empty <- make([]byte, 128<<10)
	}
	go a.unpack(r)
	return a
}

func (a *readAhead) unpack(r io.Reader) {
	defer close(a.done)
	for {
		var b []byte
		select {
		case b = <-a.empty:
		case <-a.ctx.Done():
			return
		}
		n, err := readFull(r, b[:cap(b)])
		select {
		case a.full <- chunk{b[:n], err}:
		case <-a.ctx.Done():
			return
		}
		if err != nil {
			return
		}
	}
}

// readFull fills b. Unlike io.ReadFull it keeps the reader's own error, so that
// data which end too early are told from a short last block.
func readFull(r io.Reader, b []byte) (n int, err error) {
	for n < len(b) && err == nil {
		var k int
		k, err = r.Read(b[n:])
		n += k
	}
	return n, err
}

// Read implements io.Reader.
func (a *readAhead) Read(p []byte) (int, error) {
	for len(a.rest) == 0 {
		if a.now.err != nil {
			return 0, a.now.err
		}
		if a.now.data != nil {
			a.empty <- a.now.data
		}
		select {
		case a.now = <-a.full:
			a.rest = a.now.data
		case <-a.ctx.Done():
			return 0, a.ctx.Err()
		}
	}
	n := copy(p, a.rest)
	a.rest = a.rest[n:]
	return n, nil
}

// close stops the background work and waits for it.
func (a *readAhead) close() {
	a.cancel()
	<-a.done
}
