// How numbers are shown: worked by hand from the table of quantities and the rule of the cells, no source.
#include <catch2/catch.hpp>
#include <cmath>

#include "files/shown_numbers.hpp"
#include "report/pair_sentences.hpp"
#include "run_file_synthetic.hpp"

using namespace dryfront;

TEST_CASE("a quantity has its digits and its unit") {
  CHECK(shown(Quantity::energy, 384.5012) == "385 J");
  CHECK(shown(Quantity::energy, 99.96) == "100 J");  // rounded before the digits are counted
  CHECK(shown(Quantity::energy, 1234.5) == "1230 J");
  CHECK(shown(Quantity::energy, 3.14) == "3.1 J");
  CHECK(shown(Quantity::energy, 0.04) == "below 0.1 J");
  CHECK(shown(Quantity::energy, 0) == "0 J");
  CHECK(shown(Quantity::resistance, 43961) == "44000 ohm");
  CHECK(shown(Quantity::resistance, 98.4) == "98 ohm");
  CHECK(shown(Quantity::crest_factor, std::sqrt(2.0)) == "1.41");
  CHECK(shown(Quantity::crest_factor, 2) == "2.00");
  CHECK(shown(Quantity::volume, 354.6) == "350 mm\u00b3");
  CHECK(shown(Quantity::volume, 0.44) == "0.4 mm\u00b3");
  CHECK(shown(Quantity::time, 12.34) == "12 s");
  CHECK(shown(Quantity::time, 0.337) == "0.34 s");
  CHECK(shown(Quantity::temperature, 5772) == "5770 \u00b0C");
  CHECK(shown(Quantity::share, 410.4) == "410 %");
  CHECK(shown(Quantity::resistance, INFINITY) == "\u2013");
}

TEST_CASE("a length has no more decimals than its cell bears") {
  CHECK(length_decimals(2e-5) == 2);
  CHECK(length_decimals(1e-4) == 2);  // a tenth of it is the last digit
  CHECK(length_decimals(1.1e-4) == 1);
  CHECK(length_decimals(1e-3) == 1);
  CHECK(length_decimals(3e-3) == 0);
  CHECK(shown_length(2.593e-3, 3e-4) == "2.6 mm");
  CHECK(shown_length(0.326e-3, 6.9e-5) == "0.33 mm");
  CHECK(shown_length(0.02e-3, 3e-4) == "below 0.1 mm");
  CHECK(shown_length(0, 3e-4) == "none");
  const Grid grid({0, 1e-3, 2e-3, 4e-3}, {0, 5e-4, 1.5e-3, 3e-3, 6e-3});
  CHECK(cell_at_depth(grid, 2e-3) == Approx(1.5e-3));
  CHECK(cell_at_depth(grid, 6e-3) == Approx(3e-3));  // the bottom belongs to the last cell
  CHECK(cell_at_radius(grid, 0) == Approx(1e-3));
}

TEST_CASE("the summary's texts stand under the names of the run file") {
  const Case c = synthetic_case();
  auto record = synthetic_record(c, 1, 2.4e-3);
  const auto texts = shown_summary(synthetic_grid(), record);
  CHECK(texts.at("depth_coagulation_m") == "2 mm");  // cells of 1.5 mm
  CHECK(texts.at("depth_char_m") == "none");
  CHECK(texts.at("volume_coagulation_m3") == "100 mm\u00b3");
  CHECK(texts.at("resistance_least_ohm") == "80 ohm");
  CHECK(texts.at("arcing_s") == "1.2 s");
  CHECK(texts.at("dry_out_s") == "never");
  CHECK(texts.at("peak_C") == "140 \u00b0C");
}

TEST_CASE("the sentence of a pair says which reached deeper, or that the grid cannot tell") {
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  auto deep = synthetic_record(c, 0, 4.8e-3), shallow = synthetic_record(c, 1, 1.2e-3);
  deep.label = "steady";
  shallow.label = "broken";
  const std::string said =
      "\u201csteady\u201d reached deeper: coagulation to 5 mm against 1.2 mm for \u201cbroken\u201d (4 mm more, 4.0 "
      "times as deep).";
  CHECK(pair_sentence(grid, deep, shallow, 0) == said);
  CHECK(pair_sentence(grid, shallow, deep, 0) == said);
  CHECK(pair_sentence(grid, deep, deep, 0) == "\u201csteady\u201d reached coagulation to 5 mm.");
  CHECK(pair_sentence(grid, deep, shallow, 1) == "Neither mode reached char.");
  shallow.effects[0].depth = 4.5e-3;
  CHECK_THAT(pair_sentence(grid, deep, shallow, 0),
             Catch::Matchers::Contains("No difference that counts") && Catch::Matchers::Contains("3.0 mm cells there"));
  CHECK(pair_sentences_json(c, grid, std::vector{deep, shallow}).size() == 8);
}
