package reading

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
)

// Limits of what is read.
const (
	mostLine   = 16 << 10 // bytes of a line; longer ones are refused
	bufferSize = 256 << 10
)

// lines gives the lines of a text with their numbers.
type lines struct {
	buf    *bufio.Reader
	number int
	bytes  int64
	long   bool // the line last given was longer than mostLine, and cut
}

// open refuses what is not text.
func (l *lines) open(from io.Reader) error {
	l.buf = bufio.NewReaderSize(from, bufferSize)
	head, err := l.buf.Peek(512)
	if len(head) == 0 && err != nil && err != io.EOF {
		return err
	}
	first, _, _ := bytes.Cut(head, []byte{'\n'})
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return &LogError{1, "the text is UTF-16: save it as UTF-8"}
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return &LogError{0, "this is a zip archive or a spreadsheet: save the table as CSV"}
	case bytes.IndexByte(first, 0) >= 0: // further down it is a row's own fault
		return &LogError{1, fmt.Sprintf("this is not text: byte %d is zero", bytes.IndexByte(first, 0)+1)}
	case bytes.HasPrefix(head, bom):
		_, _ = l.buf.Discard(len(bom))
	}
	return nil
}

var bom = []byte("\xef\xbb\xbf")

// next returns the next line without its end; it is valid until the next call.
func (l *lines) next() ([]byte, error) {
	line, err := l.buf.ReadSlice('\n')
	l.number++
	l.bytes += int64(len(line))
	l.long = len(line) > mostLine
	switch {
	case err == io.EOF && len(line) == 0:
		l.number--
		return nil, io.EOF
	case err == bufio.ErrBufferFull:
		line = bytes.Clone(line[:mostLine])
		return line, l.skip()
	case err != nil && err != io.EOF:
		return nil, err
	}
	return trimEnd(line[:min(len(line), mostLine)]), nil
}

// skip goes to the end of a line that the buffer cannot hold.
func (l *lines) skip() error {
	for {
		rest, err := l.buf.ReadSlice('\n')
		l.bytes += int64(len(rest))
		if err != bufio.ErrBufferFull {
			if err == io.EOF {
				return nil
			}
			return err
		}
	}
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

// split cuts a line into fields. It reports false where a quoted field does not
// end.
func (r *Reader) split(line []byte) ([][]byte, bool) {
	r.fields = r.fields[:0]
	switch {
	case r.separator == ' ':
		r.fields = append(r.fields, bytes.Fields(line)...)
		return r.fields, true
	case bytes.IndexByte(line, '"') >= 0:
		return r.splitQuoted(line)
	}
	start := 0
	for i, c := range line {
		if c == r.separator {
			r.fields = append(r.fields, line[start:i])
			start = i + 1
		}
	}
	r.fields = append(r.fields, line[start:])
	return r.fields, true
}

// splitQuoted follows RFC 4180: a field in quotation marks may hold separators,
// and a doubled mark stands for one.
func (r *Reader) splitQuoted(line []byte) ([][]byte, bool) {
	for {
		begin := trimLeft(line)
		if len(begin) == 0 || begin[0] != '"' {
			end := bytes.IndexByte(line, r.separator)
			if end < 0 {
				r.fields = append(r.fields, line)
				return r.fields, true
			}
			r.fields, line = append(r.fields, line[:end]), line[end+1:]
			continue
		}
		field, rest, ok := unquote(begin[1:])
		if !ok {
			return r.fields, false
		}
		r.fields = append(r.fields, field)
		end := bytes.IndexByte(rest, r.separator)
		if end < 0 {
			return r.fields, len(trim(rest)) == 0
		}
		if len(trim(rest[:end])) > 0 {
			return r.fields, false
		}
		line = rest[end+1:]
	}
}

// unquote returns the text up to the closing mark, and what follows it.
func unquote(b []byte) (field, rest []byte, ok bool) {
	end := bytes.IndexByte(b, '"')
	if end >= 0 && (end+1 == len(b) || b[end+1] != '"') { // the usual case
		return b[:end], b[end+1:], true
	}
	for i := 0; i < len(b); i++ {
		if b[i] != '"' {
			field = append(field, b[i])
			continue
		}
		if i+1 == len(b) || b[i+1] != '"' {
			return field, b[i+1:], true
		}
		field = append(field, '"')
		i++
	}
	return nil, nil, false
}

// trim takes blanks off both ends.
func trim(b []byte) []byte {
	if n := len(b); n > 0 && b[0] > ' ' && b[n-1] > ' ' {
		return b
	}
	b = trimLeft(b)
	for len(b) > 0 && b[len(b)-1] <= ' ' {
		b = b[:len(b)-1]
	}
	return b
}

func trimLeft(b []byte) []byte {
	for len(b) > 0 && b[0] <= ' ' {
		b = b[1:]
	}
	return b
}

// clip keeps messages short.
func clip(b []byte) []byte {
	const most = 40
	if len(b) > most {
		return append(bytes.Clone(b[:most]), "..."...)
	}
	return b
}
