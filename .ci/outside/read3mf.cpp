// Reads a 3MF file with lib3mf, the reference library of the 3MF Consortium,
// in strict mode, says what it found, and lets the library write the build as
// STL: all items and components in place. Output, a line each:
//
//     warning CODE TEXT
//     item
//     object NAME            a mesh or components, in the order of the file
//     mesh VERTICES TRIANGLES MANIFOLD
//     components COUNT
//
//     read3mf IN.3mf OUT.stl
//
// Build: g++ -I/usr/include/lib3mf read3mf.cpp -l3MF (Debian lib3mf-dev).
#include "Model/COM/NMR_DLLInterfaces.h"
#include <cstdio>
#include <cstdlib>

using namespace NMR;

static PLib3MFBase *blamed;

static void must(LIB3MFRESULT result, const char *what) {
	if (result == 0)
		return;
	DWORD code = 0;
	LPCSTR text = nullptr;
	if (blamed)
		lib3mf_getlasterror(blamed, &code, &text);
	std::fprintf(stderr, "lib3mf refuses to %s: %u %s\n", what, (unsigned)code, text ? text : "");
	std::exit(1);
}

static void tellObject(PLib3MFModel *model, PLib3MFModelObjectResource *object) {
	char name[512] = "";
	ULONG needed = 0;
	must(lib3mf_object_getnameutf8(object, name, sizeof name, &needed), "name an object");
	std::printf("object %s\n", name);
	DWORD id = 0;
	must(lib3mf_resource_getresourceid(object, &id), "number an object");
	BOOL isMesh = 0;
	must(lib3mf_object_ismeshobject(object, &isMesh), "tell a mesh");
	if (isMesh) {
		PLib3MFModelMeshObject *mesh = nullptr;
		must(lib3mf_model_getmeshobjectbyid(model, id, &mesh), "find a mesh");
		DWORD vertices = 0, triangles = 0;
		BOOL manifold = 0;
		must(lib3mf_meshobject_getvertexcount(mesh, &vertices), "count vertices");
		must(lib3mf_meshobject_gettrianglecount(mesh, &triangles), "count triangles");
		must(lib3mf_meshobject_ismanifoldandoriented(mesh, &manifold), "judge a mesh");
		std::printf("mesh %u %u %d\n", (unsigned)vertices, (unsigned)triangles, manifold ? 1 : 0);
		return;
	}
	PLib3MFModelComponentsObject *parts = nullptr;
	DWORD count = 0;
	must(lib3mf_model_getcomponentsobjectbyid(model, id, &parts), "find components");
	must(lib3mf_componentsobject_getcomponentcount(parts, &count), "count components");
	std::printf("components %u\n", (unsigned)count);
}

int main(int argc, char **argv) {
	if (argc != 3) {
		std::fprintf(stderr, "usage: read3mf IN.3mf OUT.stl\n");
		return 2;
	}
	PLib3MFModel *model = nullptr;
	PLib3MFModelReader *reader = nullptr;
	must(lib3mf_createmodel(&model), "make a model");
	must(lib3mf_model_queryreader(model, "3mf", &reader), "make a reader");
	blamed = reader;
	must(lib3mf_reader_setstrictmodeactive(reader, 1), "be strict");
	must(lib3mf_reader_readfromfileutf8(reader, argv[1]), "read the file");
	DWORD warnings = 0;
	must(lib3mf_reader_getwarningcount(reader, &warnings), "count warnings");
	for (DWORD i = 0; i < warnings; i++) {
		DWORD code = 0;
		ULONG needed = 0;
		char text[1024] = "";
		must(lib3mf_reader_getwarningutf8(reader, i, &code, text, sizeof text, &needed), "tell a warning");
		std::printf("warning %u %s\n", (unsigned)code, text);
	}
	blamed = model;
	PLib3MFModelBuildItemIterator *items = nullptr;
	PLib3MFModelResourceIterator *objects = nullptr;
	BOOL more = 0;
	must(lib3mf_model_getbuilditems(model, &items), "list items");
	for (must(lib3mf_builditemiterator_movenext(items, &more), "walk items"); more; must(lib3mf_builditemiterator_movenext(items, &more), "walk items"))
		std::printf("item\n");
	must(lib3mf_model_getobjects(model, &objects), "list objects");
	for (must(lib3mf_resourceiterator_movenext(objects, &more), "walk objects"); more; must(lib3mf_resourceiterator_movenext(objects, &more), "walk objects")) {
		PLib3MFModelResource *object = nullptr;
		must(lib3mf_resourceiterator_getcurrent(objects, &object), "reach an object");
		tellObject(model, object);
	}
	PLib3MFModelWriter *writer = nullptr;
	must(lib3mf_model_querywriter(model, "stl", &writer), "make a writer");
	blamed = writer;
	must(lib3mf_writer_writetofileutf8(writer, argv[2]), "write STL");
	return 0;
}
