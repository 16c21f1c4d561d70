package heif

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

//go:embed decoder/heif.wasm.gz
var packed []byte

// ready unpacks the decoder and makes room for its machine code, which the
// first sandbox compiles and later ones find again. It is done when the first
// HEIC picture comes: a program that meets none pays nothing.
var ready = sync.OnceValues(func() (decoderCode, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return decoderCode{}, err
	}
	wasm, err := io.ReadAll(r)
	return decoderCode{wasm, wazero.NewCompilationCache(), &sync.Mutex{}}, err
})

type decoderCode struct {
	wasm  []byte
	cache wazero.CompilationCache
	// compiling keeps two sandboxes from doing the same work.
	compiling *sync.Mutex
}

// The decoder's memory: what it starts with, and some copies of a tile at 1.5
// to 4 bytes a pixel.
const (
	wasmPage, mostPages     = 64 << 10, 65536
	fixedBytes, bytesAPixel = 32 << 20, 16
)

func (p Picture) memoryPages() uint32 {
	longest := 0
	for _, t := range p.tiles {
		longest = max(longest, len(t.data))
	}
	need := fixedBytes + 4*int64(longest) + bytesAPixel*int64(p.tileWidth)*int64(p.tileHeight)
	return uint32(min(need/wasmPage+1, mostPages))
}

// sandbox runs the decoder, which in it sees no file, clock or environment
// and prints nowhere.
type sandbox struct {
	runtime wazero.Runtime
	code    wazero.CompiledModule
}

// newSandbox sets one up in which a run has at most so many pages of memory.
func newSandbox(pages uint32) (*sandbox, error) {
	code, err := ready()
	if err != nil {
		return nil, err
	}
	code.compiling.Lock()
	defer code.compiling.Unlock()
	ctx := context.Background()
	config := wazero.NewRuntimeConfig().WithCompilationCache(code.cache).WithMemoryLimitPages(pages)
	s := &sandbox{runtime: wazero.NewRuntimeWithConfig(ctx, config)}
	if s.code, err = s.runtime.CompileModule(ctx, code.wasm); err == nil {
		_, err = wasi_snapshot_preview1.Instantiate(ctx, s.runtime)
	}
	if err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

func (s *sandbox) close() { _ = s.runtime.Close(context.Background()) }

// start begins a run with fresh memory.
func (s *sandbox) start() (*machine, error) {
	module, err := s.runtime.InstantiateModule(context.Background(), s.code, wazero.NewModuleConfig().WithName(""))
	if err != nil {
		return nil, err
	}
	return &machine{module, module.Memory()}, nil
}

// machine is one run of the decoder.
type machine struct {
	module api.Module
	memory api.Memory
}

func (m *machine) close() { _ = m.module.Close(context.Background()) }

// watch ends a run when stop comes before it has finished. Code that could be
// broken off is four times as slow, so that its memory is filled with nonsense
// instead: pointers then lead out of it, which does end it, and counts that it
// waits for are reached.
func (m *machine) watch(stop, finished <-chan struct{}) {
	select {
	case <-finished:
		return
	case <-stop:
	}
	nonsense := bytes.Repeat([]byte{0x7f}, wasmPage)
	for again := time.NewTicker(20 * time.Millisecond); ; {
		for at := uint32(0); at < m.memory.Size(); at += wasmPage {
			m.memory.Write(at, nonsense)
		}
		select {
		case <-finished:
			again.Stop()
			return
		case <-again.C:
		}
	}
}

// headBytes holds width, height, colour space, chroma and alpha.
const headBytes = 20

// decode returns the picture of a file that single made; the pixels lie in
// the decoder's memory.
func (m *machine) decode(file []byte) (layout, []byte, error) {
	in, err := m.alloc(len(file))
	if err != nil {
		return layout{}, nil, err
	}
	head, err := m.alloc(headBytes)
	if err != nil {
		return layout{}, nil, err
	}
	if !m.memory.Write(in, file) {
		return layout{}, nil, errMemory
	}
	// First the layout, then, in a buffer of that size, the pixels.
	if err := m.run(in, len(file), true, head, 0); err != nil {
		return layout{}, nil, err
	}
	l, err := m.layout(head)
	if err != nil {
		return layout{}, nil, err
	}
	out, err := m.alloc(l.bytes())
	if err != nil {
		return layout{}, nil, err
	}
	if err := m.run(in, len(file), false, head, out); err != nil {
		return layout{}, nil, err
	}
	pix, ok := m.memory.Read(out, uint32(l.bytes()))
	if !ok {
		return layout{}, nil, errMemory
	}
	return l, pix, nil
}

var errMemory = fmt.Errorf("%w: its memory is too small", ErrDecoder)

func (m *machine) layout(head uint32) (layout, error) {
	var v [4]uint32
	for i := range v {
		v[i], _ = m.memory.ReadUint32Le(head + uint32(4*i))
	}
	const most = 1 << 16 // a side; no coded picture has more
	l := layout{int(v[0]), int(v[1]), v[2], v[3]}
	if !l.valid() || l.width <= 0 || l.height <= 0 || l.width > most || l.height > most {
		return layout{}, fmt.Errorf("%w: %+v", ErrKind, l)
	}
	return l, nil
}

// run calls the decoder's one function.
func (m *machine) run(in uint32, length int, headOnly bool, head, out uint32) error {
	args := []uint64{uint64(in), uint64(length), 0}
	if headOnly {
		args[2] = 1
	}
	for i := range uint64(headBytes / 4) {
		args = append(args, uint64(head)+4*i)
	}
	result, err := m.call("decode", append(args, uint64(out))...)
	if err != nil {
		return err
	}
	if result == 0 {
		return fmt.Errorf("%w: the decoder finds the picture's data wrong", ErrDamaged)
	}
	return nil
}

func (m *machine) alloc(bytes int) (uint32, error) {
	at, err := m.call("malloc", uint64(bytes))
	if err == nil && at == 0 {
		err = errMemory
	}
	return uint32(at), err
}

func (m *machine) call(name string, args ...uint64) (uint64, error) {
	f := m.module.ExportedFunction(name)
	if f == nil {
		return 0, fmt.Errorf("%w: it has no function %s", ErrDecoder, name)
	}
	results, err := f.Call(context.Background(), args...)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	if len(results) != 1 {
		return 0, fmt.Errorf("%w: %d results", ErrDecoder, len(results))
	}
	return results[0], nil
}
