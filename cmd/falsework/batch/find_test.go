package batch

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// tree makes files, by name with slashes, and returns their folder.
func tree(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(name), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func found(t *testing.T, f Folder) (parts, earlier []string) {
	t.Helper()
	got, err := Find(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range got.Parts {
		parts = append(parts, p.Name)
	}
	return parts, got.Earlier
}

func TestFind(t *testing.T) {
	dir := tree(t, "b.stl", "a.STL", "c.3mf", "notes.txt", ".x.stl", ".git/y.stl", "sub/d.stl", "sub/deep/e f.stl", "sub/\u6f6e.stl",
		"out/z.stl", "b-ribbed.stl", "sub/D-RIBBED.STL", "stl", "no-ending")
	endings := []string{".stl", ".3mf"}
	for _, c := range []struct {
		name           string
		f              Folder
		parts, earlier string
	}{
		{"flat", Folder{}, "a.STL b.stl c.3mf", "b-ribbed.stl"},
		{"recursive", Folder{Recursive: true}, "a.STL b.stl c.3mf out/z.stl sub/d.stl sub/deep/e f.stl sub/\u6f6e.stl", "b-ribbed.stl sub/D-RIBBED.STL"},
		{"results inside", Folder{Recursive: true, Out: filepath.Join(dir, "out")}, "a.STL b.stl c.3mf sub/d.stl sub/deep/e f.stl sub/\u6f6e.stl", "b-ribbed.stl sub/D-RIBBED.STL"},
		{"pattern", Folder{Recursive: true, Match: []string{"?.stl"}}, "b.stl out/z.stl sub/d.stl sub/\u6f6e.stl", ""},
		{"patterns", Folder{Recursive: true, Match: []string{"sub/*.stl", "no*"}}, "no-ending notes.txt sub/d.stl sub/\u6f6e.stl", ""},
		{"nothing", Folder{Match: []string{"q*"}}, "", ""},
	} {
		c.f.Dir, c.f.Endings = dir, endings
		parts, earlier := found(t, c.f)
		if got := strings.Join(parts, " "); got != c.parts {
			t.Errorf("%s: found %q, want %q", c.name, got, c.parts)
		}
		if got := strings.Join(earlier, " "); got != c.earlier {
			t.Errorf("%s: passed over %q, want %q", c.name, got, c.earlier)
		}
	}
	if _, err := Find(Folder{Dir: filepath.Join(dir, "absent")}); err == nil {
		t.Error("a folder that is not there was read")
	}
	if CheckPattern("a[") == nil || CheckPattern("*-v?.stl") != nil {
		t.Error("patterns are not told apart")
	}
}

func TestFindBehindLinks(t *testing.T) {
	dir := tree(t, "real/a.stl", "here/b.stl")
	link := func(to, name string) {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Skip("no symbolic links here")
		}
	}
	link("../real/a.stl", "here/c.stl")
	link("nowhere.stl", "here/gone.stl")
	link("..", "here/loop")
	link("here", "way")
	// The folder itself may be named by a link.
	got, err := Find(Folder{Dir: filepath.Join(dir, "way"), Recursive: true, Endings: []string{".stl"}})
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, p := range got.Parts {
		lines = append(lines, p.Name+": "+p.Reason)
	}
	want := []string{"b.stl: ", "c.stl: ", "gone.stl: the symbolic link points to nothing; copy the file itself"}
	if d := cmp.Diff(want, lines); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"loop"}, got.Linked); d != "" {
		t.Error(d)
	}
}

func TestSettle(t *testing.T) {
	dir := t.TempDir()
	part := func(name string) Part {
		return Part{Name: name, Path: filepath.Join(dir, "in", filepath.FromSlash(name))}
	}
	parts := []Part{part("a.3mf"), part("a.STL"), part("a.stl"), part("sub/a.stl"), part("B.stl"), part("b.ast"), part("c.stl"), {Name: "d.stl", Reason: "no"}}
	Settle(parts, filepath.Join(dir, "out"))
	var refused []string
	for _, p := range parts {
		if p.Reason != "" {
			refused = append(refused, p.Name+" "+p.Reason)
		}
	}
	want := []string{
		"a.stl its result would take the name of that of a.STL; rename one of them",
		"b.ast its result would take the name of that of B.stl; rename one of them",
		"d.stl no",
	}
	if d := cmp.Diff(want, refused); d != "" {
		t.Error(d)
	}
}

// A folder of parts within that of results, in which a result would replace
// another part.
func TestSettleKeepsParts(t *testing.T) {
	dir := tree(t, "out/in/x.stl", "out/in/in/x.stl", "out/in/in/y.stl")
	got, err := Find(Folder{Dir: filepath.Join(dir, "out", "in"), Out: filepath.Join(dir, "out"), Recursive: true, Endings: []string{".stl"}})
	if err != nil {
		t.Fatal(err)
	}
	Settle(got.Parts, filepath.Join(dir, "out"))
	var refused []string
	for _, p := range got.Parts {
		if p.Reason != "" {
			refused = append(refused, p.Name)
		}
	}
	if d := cmp.Diff([]string{"in/x.stl"}, refused); d != "" {
		t.Errorf("of %v: %s", got.Parts, d)
	}
	// The same by a link where a result would be written.
	dir = tree(t, "in/x.stl")
	if err := os.MkdirAll(filepath.Join(dir, "out"), 0o777); err != nil {
		t.Fatal(err)
	}
	if os.Symlink(filepath.Join("..", "in", "x.stl"), filepath.Join(dir, "out", "x-ribbed.stl")) != nil {
		t.Skip("no symbolic links here")
	}
	parts := []Part{{Name: "x.stl", Path: filepath.Join(dir, "in", "x.stl")}}
	Settle(parts, filepath.Join(dir, "out"))
	if !strings.Contains(parts[0].Reason, "would replace the part x.stl") {
		t.Errorf("reason %q", parts[0].Reason)
	}
}

func TestNames(t *testing.T) {
	for in, want := range map[string]string{
		"a.stl": "a-ribbed.stl", "a.STL": "a-ribbed.stl", "a.3mf": "a-ribbed.3mf", "a.3MF": "a-ribbed.3MF",
		"a": "a-ribbed.stl", "a.b.stl": "a.b-ribbed.stl", ".stl": "-ribbed.stl",
	} {
		if got := RibbedName(in); got != want {
			t.Errorf("%s becomes %s, want %s", in, got, want)
		}
		if !earlier(RibbedName(in)) || earlier(in) {
			t.Errorf("%s: results are not told from parts", in)
		}
	}
}

func TestShards(t *testing.T) {
	for text, want := range map[string]Shard{"1/1": {1, 1}, "2/5": {2, 5}, "5/5": {5, 5}} {
		if got, err := ParseShard(text); err != nil || got != want || got.String() != text {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "1", "0/5", "6/5", "a/b", "1/2/3", "-1/2", "1/0", "1 /2", "1/9999999"} {
		if got, err := ParseShard(text); err == nil {
			t.Errorf("%q was read as %v", text, got)
		}
	}
	// Every part is in one share, and the shares are about equal.
	counts := [7]int{}
	for k := range 7000 {
		name := strings.Repeat("x", k%50) + string(rune('a'+k%26)) + strings.Repeat("y", k/50)
		in := 0
		for i := range counts {
			if (Shard{i + 1, 7}).Holds(name) {
				counts[i]++
				in++
			}
		}
		if in != 1 || !(Shard{}).Holds(name) {
			t.Fatalf("%q is in %d shares", name, in)
		}
	}
	for i, n := range counts {
		if n < 800 || n > 1200 {
			t.Errorf("share %d of 7 has %d of 7000", i+1, n)
		}
	}
}

func TestJournal(t *testing.T) {
	out := tree(t, "a-ribbed.stl", "a.png")
	j, err := openJournal(out, Key("1", "limit 70"))
	if err != nil {
		t.Fatal(err)
	}
	row := rowOf("a.stl", "a-ribbed.stl", "a.png")
	hashes := make([]string, 2)
	for i, f := range row.Files {
		if hashes[i], err = hashFile(filepath.Join(out, f)); err != nil {
			t.Fatal(err)
		}
	}
	if j.read("a.stl") != nil {
		t.Error("a record before there was one")
	}
	if err := j.write(row, "content", hashes); err != nil {
		t.Fatal(err)
	}
	r := j.read("a.stl")
	if d := cmp.Diff(row, r.Row); d != "" {
		t.Error(d)
	}
	other, err := openJournal(out, Key("1", "limit 60"))
	if err != nil {
		t.Fatal(err)
	}
	if !j.holds(r, "content") || j.holds(r, "other content") || other.holds(other.read("a.stl"), "content") || j.holds(nil, "content") {
		t.Error("a record holds of what it is not of")
	}
	if err := os.WriteFile(filepath.Join(out, "a.png"), []byte("touched"), 0o666); err != nil {
		t.Fatal(err)
	}
	if j.holds(r, "content") {
		t.Error("a result that was touched is kept")
	}
	// What is no longer a result goes, unless someone has touched it.
	j.sweep(r, []string{"a.stl"})
	if _, err := os.Stat(filepath.Join(out, "a-ribbed.stl")); err == nil {
		t.Error("the old result is still there")
	}
	if _, err := os.Stat(filepath.Join(out, "a.png")); err != nil {
		t.Error("a touched file is gone")
	}
	// A damaged record is as none.
	for _, text := range []string{"", "{", `{"schema":"falsework/batch-record/2"}`, `{"schema":"falsework/batch-record/1","part":"b.stl"}`,
		`{"schema":"falsework/batch-record/1","part":"a.stl","hashes":["x"],"row":{"files":["../../etc/passwd"]}}`} {
		if err := os.WriteFile(j.path("a.stl"), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		if j.read("a.stl") != nil {
			t.Errorf("read %s", text)
		}
	}
}

// What a killed run leaves goes with the next one; what another run works in
// stays.
func TestAbandonedWork(t *testing.T) {
	out := t.TempDir()
	j, err := openJournal(out, "")
	if err != nil {
		t.Fatal(err)
	}
	mine, err := j.workFolder()
	if err != nil {
		t.Fatal(err)
	}
	gone := exec.Command(os.Args[0], "part", "", "", "")
	if err := gone.Run(); err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{ // whether it must go
		fmt.Sprintf("work-%s-%d-1", host(), gone.Process.Pid):     true,
		fmt.Sprintf("work-%s-%d-1", host(), os.Getppid()):         false,
		fmt.Sprintf("work-%s-%d-1", "00000000", gone.Process.Pid): false,
		"work-x": false,
	}
	for name := range names {
		if err := os.Mkdir(filepath.Join(out, Hidden, name), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	names[filepath.Base(mine)] = false
	if _, err := openJournal(out, ""); err != nil {
		t.Fatal(err)
	}
	for name, goes := range names {
		if _, err := os.Stat(filepath.Join(out, Hidden, name)); (err != nil) != goes {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestReadOnlyRecords(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("everything can be written here")
	}
	out := t.TempDir()
	if err := os.Chmod(out, 0o555); err != nil {
		t.Fatal(err)
	}
	if _, err := openJournal(out, ""); err == nil {
		t.Error("a folder was made in one that may not be written")
	}
}
