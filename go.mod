module falsework

go 1.26

require (
	github.com/ctessum/go.clipper v0.1.2
	github.com/deadsy/sdfx v0.0.0-20230213225118-5bd480590742
	github.com/fogleman/fauxgl v0.0.0-20250110135958-abf826acbbbd
	github.com/google/go-cmp v0.7.0
	github.com/hpinc/go3mf v0.24.1
	github.com/jedib0t/go-pretty/v6 v6.8.3
	github.com/pelletier/go-toml/v2 v2.4.3
	github.com/rogpeppe/go-internal v1.16.0
	github.com/schollz/progressbar/v3 v3.19.1
	github.com/tidwall/rtree v1.10.0
	github.com/urfave/cli/v2 v2.27.7
	golang.org/x/image v0.25.0
	golang.org/x/term v0.44.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/ajstarks/svgo v0.0.0-20211024235047-1546f124cd8b // indirect
	github.com/cpuguy83/go-md2man/v2 v2.0.7 // indirect
	github.com/fogleman/simplify v0.0.0-20170216171241-d32f302d5046 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/llgcode/draw2d v0.0.0-20210904075650-80aa0a2a901d // indirect
	github.com/mattn/go-runewidth v0.0.16 // indirect
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/qmuntal/opc v0.7.10 // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/russross/blackfriday/v2 v2.1.0 // indirect
	github.com/tidwall/geoindex v1.7.0 // indirect
	github.com/xrash/smetrics v0.0.0-20240521201337-686a1a2994c1 // indirect
	github.com/yofu/dxf v0.0.0-20190710012328-5a6d1e83f16c // indirect
	golang.org/x/sys v0.46.0 // indirect
	golang.org/x/text v0.23.0 // indirect
	golang.org/x/tools v0.30.0 // indirect
)
