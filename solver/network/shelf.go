package network

import (
	"runtime"
	"sync"
	"weak"
)

// shelf shares what is dear to make between all who hold it, and keeps nothing of its own: what nobody holds any more is
// gone.
type shelf[T any] struct {
	mu    sync.Mutex
	byKey map[string]weak.Pointer[T]
}

// get gives the thing of a key, made now if nobody holds one.
func (s *shelf[T]) get(key string, make func() *T) *T {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t := s.byKey[key].Value(); t != nil {
		return t
	}
	t := make()
	if s.byKey == nil {
		s.byKey = map[string]weak.Pointer[T]{}
	}
	s.byKey[key] = weak.Make(t)
	runtime.AddCleanup(t, s.forget, key)
	return t
}

func (s *shelf[T]) forget(key string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.byKey[key].Value() == nil {
		delete(s.byKey, key)
	}
}
