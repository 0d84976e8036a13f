// The tissue library and tables of two columns.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <string>

#include "case_file_sample.hpp"
#include "files/case/tissue_library.hpp"
#include "files/case/two_column_file.hpp"
#include "files/file_error.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

std::string file_text(const std::filesystem::path& path) {
  std::ifstream stream(path);
  return {std::istreambuf_iterator<char>(stream), {}};
}

// The message with which the library refuses liver_ex_vivo after `old` in it has become `fresh`.
std::string library_refusal(const std::string& old, const std::string& fresh) {
  const ScratchDirectory scratch("library");
  const std::string text = file_text(tissue_library() / "liver_ex_vivo.toml");
  std::ofstream(scratch.path() / "liver_ex_vivo.toml") << replaced(text, old, fresh);
  try {
    library_tissue(scratch.path(), "liver_ex_vivo");
  } catch (const CaseError& error) {
    return error.what();
  }
  return "";
}

std::string table_refusal(const std::string& text) {
  const ScratchDirectory scratch("table");
  std::ofstream(scratch.path() / "t.csv") << text;
  try {
    read_two_columns(scratch.path() / "t.csv");
  } catch (const CaseError& error) {
    return std::string(error.what()).substr(scratch.path().string().size() + 1);
  }
  return "";
}

}  // namespace

TEST_CASE("Every tissue of the library is complete and sourced") {
  const std::vector<std::string> names = library_names(tissue_library());
  for (const std::string name : {"fat", "liver_ex_vivo", "liver_perfused", "muscle", "skin_wet"}) {
    CHECK(std::count(names.begin(), names.end(), name) == 1);
  }
  CHECK(std::is_sorted(names.begin(), names.end()));
  for (const std::string& name : names) {
    INFO(name);
    const TissueEntry entry = library_tissue(tissue_library(), name);
    CHECK(entry.tissue.name == name);
    CHECK(entry.damage.has_value());
  }
}

TEST_CASE("A new tissue takes what it does not state from the one it is like") {
  const std::string text = replaced(sample_text(), "liver_ex_vivo", "mine");
  const TissueEntry liver = library_tissue(tissue_library(), "liver_ex_vivo");
  const Case c = parsed(text + "[tissue.mine]\nlike = \"liver_ex_vivo\"\nconductivity_S_m = 0.5\n");
  const Tissue& mine = c.specimen.layers.at(0).tissue;
  CHECK(mine.name == "mine");
  CHECK(mine.conductivity == 0.5);
  CHECK(mine.density == liver.tissue.density);
  CHECK(mine.perfusion == liver.tissue.perfusion);
  CHECK(c.damage.at(0).frequency == liver.damage.value().frequency);
  CHECK_THAT(mine.source, Contains("conductivity_S_m: stated by the case"));
  // Of one of the case, in either order; of one of the library as the case changes it.
  const std::string chain = "[tissue.mine]\nlike = \"next\"\n[tissue.next]\nlike = \"fat\"\nwater_fraction = 0.2\n";
  const Tissue last = parsed(text + chain + "[tissue.fat]\ndensity_kg_m3 = 900\n").specimen.layers.at(0).tissue;
  CHECK(last.water_fraction == 0.2);
  CHECK(last.density == 900);
  CHECK(last.conductivity == library_tissue(tissue_library(), "fat").tissue.conductivity);
  const Case again = parse_case(resolved_toml(c), "resolved.toml", {}, "no_such_directory", {});
  CHECK(again.specimen.layers.at(0).tissue.density == mine.density);
  CHECK(parsed(text + "[tissue.mine]\nlike = \"fat\"\n", {"tissue.mine.density_kg_m3=950"})
            .specimen.layers.at(0)
            .tissue.density == 950);
  CHECK_THAT(library_refusal("[tissue.liver_ex_vivo]", "[tissue.liver_ex_vivo]\nlike = \"fat\""),
             Contains("like is given in the library"));
}

TEST_CASE("Excised and perfused liver differ in their perfusion alone") {
  Tissue excised = library_tissue(tissue_library(), "liver_ex_vivo").tissue;
  const Tissue perfused = library_tissue(tissue_library(), "liver_perfused").tissue;
  CHECK(perfused.perfusion == Approx(860 * 1079e-6 / 60).epsilon(1e-3));  // 860 ml/min/kg, from memory
  CHECK(excised.perfusion == 0);
  CHECK(excised.conductivity == perfused.conductivity);
  CHECK(excised.moisture == perfused.moisture);
}

TEST_CASE("The library refuses a number without source, a number left out and a file of another name") {
  CHECK_THAT(library_refusal("density_kg_m3: ", "density: "),
             Contains("tissue.liver_ex_vivo.density_kg_m3 has no source"));
  CHECK_THAT(library_refusal("conductivity_at_C: Zurbuchen et al. 2016, Acta Radiol\n", "conductivity_at_C:  \n"),
             Contains("tissue.liver_ex_vivo.conductivity_at_C has no source"));
  CHECK_THAT(library_refusal("boil_C = 100\n", ""), Contains("missing tissue.liver_ex_vivo.boil_C"));
  CHECK_THAT(library_refusal("floor_C = 43\nsource =", "floor_C = 43 # source ="), Contains("damage has no source"));
  CHECK_THAT(library_refusal("[tissue.liver_ex_vivo]", "[tissue.liver]"),
             Contains("a file of the tissue library holds one tissue of the file's name"));
  CHECK_THAT(library_refusal("boil_C = 100\n", "boil_C = 100\nboil_K = 373\n"), Contains("did you mean 'boil_C'?"));
}

TEST_CASE("Files that cannot be read are the disk's fault, not the case's") {
  CHECK_THROWS_AS(read_case("no_such_case.toml", {}, tissue_library()), FileError);
  CHECK_THROWS_AS(read_case(tissue_library(), {}, tissue_library()), FileError);
  CHECK_THROWS_AS(read_two_columns("no_such_table.csv"), FileError);
  const std::string text =
      replaced(sample_text(), "kind = \"constant_power\"", "kind = \"table\", file = \"no_such.csv\"");
  CHECK_THROWS_AS(parsed(text), FileError);
}

TEST_CASE("Two columns are read whatever separates them") {
  const ScratchDirectory scratch("columns");
  const std::filesystem::path file = scratch.path() / "t.csv";
  std::ofstream(file) << "# remark\n\ntime_s; volt\n0;1e-3\n +1 , -2.5  # end\r\n2\t3\n";
  const TwoColumns columns = read_two_columns(file);
  CHECK(columns.first == std::vector<double>{0, 1, 2});
  CHECK(columns.second == std::vector<double>{1e-3, -2.5, 3});
  CHECK(columns.line == std::vector<int>{4, 5, 6});
}

TEST_CASE("Tables of other than two columns of numbers are refused with the line") {
  CHECK_THAT(table_refusal("0,1\n1\n"), StartsWith("t.csv:2:1: 1 columns where there have to be two"));
  CHECK_THAT(table_refusal("0,1\n1,2,3\n"), StartsWith("t.csv:2:5: 3 columns where there have to be two"));
  CHECK_THAT(table_refusal("0,1\n1,two\n"), StartsWith("t.csv:2:3: two is not a number"));
  CHECK_THAT(table_refusal("0,1\nx,2\n"), StartsWith("t.csv:2:1: x is not a number"));
  CHECK_THAT(table_refusal("a,b\nc,d\n"), StartsWith("t.csv:2:1: c is not a number"));
  CHECK_THAT(table_refusal("0,1\n1,inf\n"), StartsWith("t.csv:2:3: inf is not finite"));
  CHECK_THAT(table_refusal("0,1\n1,nan\n"), StartsWith("t.csv:2:3: nan is not finite"));
  CHECK_THAT(table_refusal("0,1\n"), StartsWith("t.csv: a table needs two lines"));
}

TEST_CASE("A table whose first column does not increase is refused with the line") {
  const ScratchDirectory scratch("disorder");
  std::ofstream(scratch.path() / "wave.csv") << "0 0\n1 1\n1 2\n";
  const std::string text =
      replaced(sample_text(), "[[mode]]", "[[mode]]\nwaveform = { kind = \"sampled\", file = \"wave.csv\" }");
  try {
    parse_case(text, "case.toml", {}, tissue_library(), scratch.path());
    FAIL("was read");
  } catch (const CaseError& error) {
    CHECK_THAT(error.what(), Contains("wave.csv:3:1: the time does not increase"));
  }
}
