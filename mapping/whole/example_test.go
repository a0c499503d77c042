package whole_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"lapstrake/mapping/whole"
)

// Write replaces a file in one step: a reader finds the old text or the new one.
func ExampleWrite() {
	dir, err := os.MkdirTemp("", "whole")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "map.toml")

	if err := whole.Write(path, []byte("version = 1\n")); err != nil {
		log.Fatal(err)
	}
	text, err := os.ReadFile(path)
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// version = 1
	// <nil>
}

// A file that is discarded leaves what was there.
func ExampleCreate() {
	dir, err := os.MkdirTemp("", "whole")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "takes.csv")
	if err := whole.Write(path, []byte("as it was\n")); err != nil {
		log.Fatal(err)
	}

	file, err := whole.Create(path)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Fprintln(file, "half of the new tex")
	file.Discard() // Commit would put it in place

	text, _ := os.ReadFile(path)
	fmt.Print(string(text))
	// Output: as it was
}

// A folder appears with all its files at once.
func ExampleCreateFolder() {
	dir, err := os.MkdirTemp("", "whole")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "out")

	folder, err := whole.CreateFolder(path)
	if err != nil {
		log.Fatal(err)
	}
	defer folder.Discard()
	if err := whole.Write(filepath.Join(folder.Temp(), "HOWTO.txt"),
		[]byte("begin with the volume low\n")); err != nil {
		log.Fatal(err)
	}
	_, err = os.Stat(path)
	fmt.Println("there before Commit:", err == nil)
	if err := folder.Commit(false); err != nil {
		log.Fatal(err)
	}
	_, err = os.Stat(filepath.Join(path, "HOWTO.txt"))
	fmt.Println("there after it:", err == nil)
	// Output:
	// there before Commit: false
	// there after it: true
}
