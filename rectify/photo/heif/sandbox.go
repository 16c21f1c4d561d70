package heif

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"io"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

//go:embed decoder/heif.wasm.gz
var packed []byte

// ready unpacks the decoder and makes room for its machine code, which the
// first run compiles and later runs find again. It is done when the first
// HEIC picture comes: a program that meets none pays nothing.
var ready = sync.OnceValues(func() (decoderCode, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return decoderCode{}, err
	}
	wasm, err := io.ReadAll(r)
	return decoderCode{wasm, wazero.NewCompilationCache()}, err
})

type decoderCode struct {
	wasm  []byte
	cache wazero.CompilationCache
}

// start sets up a sandbox with at most so many pages of memory, which sees no
// file, clock or environment and prints nowhere.
func start(ctx context.Context, pages uint32) (*machine, error) {
	code, err := ready()
	if err != nil {
		return nil, err
	}
	config := wazero.NewRuntimeConfig().WithCompilationCache(code.cache).WithMemoryLimitPages(pages)
	runtime := wazero.NewRuntimeWithConfig(ctx, config)
	shut := func() { _ = runtime.Close(ctx) }
	compiled, err := runtime.CompileModule(ctx, code.wasm)
	if err == nil {
		_, err = wasi_snapshot_preview1.Instantiate(ctx, runtime)
	}
	if err != nil {
		shut()
		return nil, err
	}
	module, err := runtime.InstantiateModule(ctx, compiled, wazero.NewModuleConfig())
	if err != nil {
		shut()
		return nil, err
	}
	return &machine{ctx, module.Memory(), module, shut}, nil
}
