package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"falsework/cmd/falsework/report"
	"falsework/mesh/atomicfile"
)

// Hidden is the folder, within that of the results, that holds what a later
// run must know. Removing it costs nothing but the time to do all again.
const Hidden = ".falsework"

// recordSchema is the version of the records; others are as if absent.
const recordSchema = "falsework/batch-record/1"

// workPrefix begins the names of folders in which results are made. The host
// and the number of the process that made one follow.
const workPrefix = "work-"

// A journal remembers successes, a file for each part, so that any number of
// runs may write at once.
type journal struct {
	out string // folder of the results
	key string // of settings and program
}

// A record is one success.
type record struct {
	Schema string           `json:"schema"`
	Part   string           `json:"part"`
	Key    string           `json:"key"`    // of the part's bytes, the settings and the program
	Hashes []string         `json:"hashes"` // of the files of the row, SHA-256
	Row    report.BatchPart `json:"row"`
}

// openJournal makes the hidden folder, and clears away what a run on this
// machine that was killed has left in it.
func openJournal(out, key string) (*journal, error) {
	dir := filepath.Join(out, Hidden)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	left, err := filepath.Glob(filepath.Join(dir, workPrefix+"*"))
	if err != nil {
		return nil, err
	}
	for _, w := range left {
		if abandoned(filepath.Base(w)) {
			_ = os.RemoveAll(w)
		}
	}
	return &journal{out: out, key: key}, nil
}

// workFolder makes an empty folder on the disk of the results.
func (j *journal) workFolder() (string, error) {
	return os.MkdirTemp(filepath.Join(j.out, Hidden), fmt.Sprintf("%s%s-%d-", workPrefix, host(), os.Getpid()))
}

// host is a name of this machine that holds no dash.
func host() string {
	name, _ := os.Hostname()
	h := sha256.Sum256([]byte(name))
	return hex.EncodeToString(h[:4])
}

// abandoned tells whether a work folder was made by a process of this machine
// that is no more.
func abandoned(name string) bool {
	words := strings.Split(strings.TrimPrefix(name, workPrefix), "-")
	if len(words) != 3 || words[0] != host() {
		return false
	}
	pid, err := strconv.Atoi(words[1])
	return err == nil && pid != os.Getpid() && !alive(pid)
}

func (j *journal) path(part string) string {
	h := sha256.Sum256([]byte(part))
	return filepath.Join(j.out, Hidden, hex.EncodeToString(h[:16])+".json")
}

// keyOf is the key of a part with the given bytes.
func (j *journal) keyOf(content string) string {
	h := sha256.Sum256([]byte(content + "\n" + j.key))
	return hex.EncodeToString(h[:])
}

// read returns the record of a part, nil when there is none that can be read.
func (j *journal) read(part string) *record {
	data, err := os.ReadFile(j.path(part))
	if err != nil {
		return nil
	}
	var r record
	if json.Unmarshal(data, &r) != nil || r.Schema != recordSchema || r.Part != part || len(r.Hashes) != len(r.Row.Files) {
		return nil
	}
	for _, f := range r.Row.Files {
		if !filepath.IsLocal(filepath.FromSlash(f)) {
			return nil // a record that points elsewhere is none of ours
		}
	}
	return &r
}

// holds tells whether the record is of the same bytes, settings and program,
// and its files are as they were written.
func (j *journal) holds(r *record, content string) bool {
	if r == nil || r.Key != j.keyOf(content) || len(r.Row.Files) == 0 {
		return false
	}
	for i, f := range r.Row.Files {
		if h, err := hashFile(filepath.Join(j.out, filepath.FromSlash(f))); err != nil || h != r.Hashes[i] {
			return false
		}
	}
	return true
}

// write puts a success on record.
func (j *journal) write(row report.BatchPart, content string, hashes []string) error {
	r := record{Schema: recordSchema, Part: row.Part, Key: j.keyOf(content), Hashes: hashes, Row: row}
	return j.put(j.path(row.Part), func(w io.Writer) error { return json.NewEncoder(w).Encode(r) })
}

// put replaces a file whole, by way of a work folder, so that a run that is
// killed leaves nothing that the next one does not clear away.
func (j *journal) put(path string, fill func(io.Writer) error) error {
	work, err := j.workFolder()
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	name := filepath.Join(work, filepath.Base(path))
	if err := atomicfile.Write(name, fill); err != nil {
		return fmt.Errorf("cannot write %s: %s", path, cause(err))
	}
	return atomicfile.Move(name, path)
}

// Put replaces a file in the folder of the results, whole or not at all.
func (r *Run) Put(name string, fill func(io.Writer) error) error {
	return (&journal{out: r.Out}).put(filepath.Join(r.Out, name), fill)
}

// sweep removes the files of an earlier record that are not among those of
// the new one, where they are still as they were written: a part that was
// ribbed and is now copied leaves no ribbed part of old settings behind.
func (j *journal) sweep(old *record, now []string) {
	if old == nil {
		return
	}
	keep := map[string]bool{}
	for _, f := range now {
		keep[fold(f)] = true
	}
	for i, f := range old.Row.Files {
		path := filepath.Join(j.out, filepath.FromSlash(f))
		if info, err := os.Lstat(path); keep[fold(f)] || err != nil || !info.Mode().IsRegular() {
			continue
		}
		if h, err := hashFile(path); err == nil && h == old.Hashes[i] {
			_ = os.Remove(path)
		}
	}
}

// remains names a file of an earlier record that is still there, or "".
func (j *journal) remains(old *record) string {
	if old == nil || len(old.Row.Files) == 0 {
		return ""
	}
	if _, err := os.Stat(filepath.Join(j.out, filepath.FromSlash(old.Row.Files[0]))); err != nil {
		return ""
	}
	return old.Row.Files[0]
}

// hashFile returns the SHA-256 of a regular file, in hexadecimal.
func hashFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil {
		return "", err
	} else if !info.Mode().IsRegular() {
		return "", &fs.PathError{Op: "read", Path: path, Err: fs.ErrInvalid}
	}
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// Key is what results follow from beside the part: the settings, as any text
// that is the same for the same settings, and the program.
func Key(program string, settings ...string) string {
	h := sha256.Sum256([]byte(program + "\n" + strings.Join(settings, "\n")))
	return hex.EncodeToString(h[:])
}
