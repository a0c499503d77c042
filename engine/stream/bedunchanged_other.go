//go:build !unix

package stream

// unchanged says whether the open file still has the size and the time that it was opened with.
func (f *BedFile) unchanged() bool {
	now, err := f.opened.Stat()
	return err == nil && now.Size() == f.info.Size() && now.ModTime().Equal(f.info.ModTime())
}
