#include <hdf5.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>
#include <thread>

#include "files/file_error.hpp"
#include "files/run_file/reader.hpp"
#include "files/run_file/writer.hpp"
#include "run_file_synthetic.hpp"

using namespace dryfront;
using Catch::Matchers::Contains;

namespace {

const RunOrigin origin{"title = \"resolved\"\n", "1.2.3", "abcdef", "2020-01-02T03:04:05Z"};

void write_whole(const std::string& path, const Case& c, const Grid& grid, bool replace = false) {
  RunFileWriter writer(path, replace, c, grid, origin);
  for (const double time : {0.0, 1.0, 3.0}) {
    for (int mode = 0; mode < 2; ++mode) writer.add_frame(mode, synthetic_frame(grid, mode, time));
  }
  for (int mode = 0; mode < 2; ++mode) writer.add_record(mode, synthetic_record(c, mode, 3e-3 - 1e-3 * mode));
  writer.finish(1.5);
}

// What a run that is broken off leaves.
bool write_unfinished(const std::string& path, const Case& c, const Grid& grid, int frames) {
  RunFileWriter writer(path, false, c, grid, origin);
  for (int k = 0; k < frames; ++k) writer.add_frame(0, synthetic_frame(grid, 0, k));
  return writer.leave_unfinished();
}

void write_bytes(const std::string& path, const std::string& bytes) { std::ofstream(path) << bytes; }

std::string bytes_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("a run file reads back as it was written") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  write_whole(scratch / "run.h5", c, grid);
  CHECK(scratch.entries() == 2);  // the run file and its sidecar, no .part

  const RunFile run = open_run(scratch / "run.h5");
  CHECK(run.title == c.title);
  CHECK(run.question == c.question);
  CHECK(run.case_toml == origin.case_toml);
  CHECK(run.version == origin.version);
  CHECK(run.source_revision == origin.source_revision);
  CHECK(run.started == origin.started);
  CHECK(run.effects == std::vector<std::string>{"coagulation", "char"});
  CHECK(run.r == grid.r());
  CHECK(run.z == grid.z());
  CHECK(run.r_face == grid.r_face());
  CHECK(run.z_face == grid.z_face());
  REQUIRE(run.modes.size() == 2);
  for (int mode = 0; mode < 2; ++mode) {
    const auto d = static_cast<std::size_t>(mode);
    const RunMode& read = run.modes[d];
    const ModeRecord record = synthetic_record(c, mode, 3e-3 - 1e-3 * mode);
    CHECK(read.name == c.modes[d].name);
    CHECK(read.waveform == (mode == 0 ? "continuous" : "gated"));
    CHECK(read.source == "constant_power");
    CHECK(read.activation == c.modes[d].activation);
    CHECK(read.crest_factor == crest_factor(c.modes[d].waveform));
    CHECK(read.frame_times == std::vector<double>{0, 1, 3});
    CHECK(read.summary.at("depth_coagulation_m") == record.effects[0].depth);
    CHECK(read.summary.at("volume_coagulation_m3") == record.effects[0].volume);
    CHECK(read.summary.at("resistance_end_ohm") == record.resistance_end);
    CHECK(read.summary.at("latent_J") == record.ledger.latent);
    CHECK(read.summary.at("completed") == 1);
    CHECK(std::isnan(read.summary.at("arcing_s")) == (mode == 0));
    for (const TraceColumn& column : trace_columns) {
      INFO(column.name);
      CHECK(read.trace.at(column.name) == record.trace.*column.values);
    }
    CHECK(read.trace.at("greatest_depth/coagulation_m") == record.trace.greatest_depth[0]);
    for (std::size_t k = 0; k < 3; ++k) {
      const Frame frame = synthetic_frame(grid, mode, read.frame_times[k]);
      for (const FieldColumn& column : field_columns(c)) {
        INFO(column.name);
        CHECK(run.field(d, column.name, k) == column.values(frame));  // the float32 values are exact in it
      }
      CHECK(run.depth(d, "coagulation", k) == frame.depth[0]);
    }
  }
  CHECK_THROWS_WITH(run.field(0, "pressure_Pa", 0), Contains("holds no field pressure_Pa"));
  CHECK_THROWS_WITH(run.field(0, "temperature_C", 3), Contains("no frame 3"));
  CHECK_THROWS_WITH(run.depth(0, "smoke", 0), Contains("no effect smoke"));
}

TEST_CASE("a run file holds only the fields asked for") {
  const ScratchDirectory scratch;
  Case c = synthetic_case();
  c.output.fields = {"temperature_C", "omega_gel"};
  write_whole(scratch / "run.h5", c, synthetic_grid());
  CHECK(open_run(scratch / "run.h5").modes[0].fields == std::vector<std::string>{"omega_gel", "temperature_C"});
}

TEST_CASE("the content of a run file does not depend on which mode reports first") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  constexpr int frames = 20;
  {
    RunFileWriter writer(scratch / "threads.h5", false, c, grid, origin);
    std::vector<std::thread> threads;
    for (int mode = 0; mode < 2; ++mode) {
      threads.emplace_back([&, mode] {
        for (int k = 0; k < frames; ++k) writer.add_frame(mode, synthetic_frame(grid, mode, k));
      });
    }
    for (std::thread& thread : threads) thread.join();
    for (int mode = 0; mode < 2; ++mode) writer.add_record(mode, synthetic_record(c, mode, 1e-3));
    writer.finish(1);
  }
  const RunFile run = open_run(scratch / "threads.h5");
  for (int mode = 0; mode < 2; ++mode) {
    REQUIRE(run.modes[static_cast<std::size_t>(mode)].frame_times.size() == frames);
    for (int k = 0; k < frames; ++k) {
      CHECK(run.field(static_cast<std::size_t>(mode), "heating_W_m3", static_cast<std::size_t>(k)) ==
            synthetic_frame(grid, mode, k).heating);
    }
  }
}

TEST_CASE("an existing file is refused before anything is computed, and replaced only when whole") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  write_bytes(scratch / "run.h5", "precious");
  CHECK_THROWS_AS(RunFileWriter(scratch / "run.h5", false, c, grid, origin), FileExists);
  CHECK_THROWS_WITH(RunFileWriter(scratch / "run.h5", false, c, grid, origin), Contains("run.h5: exists already"));
  CHECK(bytes_of(scratch / "run.h5") == "precious");
  CHECK(scratch.entries() == 1);

  { const RunFileWriter writer(scratch / "run.h5", true, c, grid, origin); }  // broken off
  CHECK(bytes_of(scratch / "run.h5") == "precious");
  CHECK(scratch.entries() == 1);

  write_whole(scratch / "run.h5", c, grid, true);
  CHECK(open_run(scratch / "run.h5").title == c.title);
}

TEST_CASE("an existing sidecar is refused too") {
  const ScratchDirectory scratch;
  write_bytes(scratch / "run.xdmf", "precious");
  CHECK_THROWS_WITH(RunFileWriter(scratch / "run.h5", false, synthetic_case(), synthetic_grid(), origin),
                    Contains("run.xdmf: exists already"));
  CHECK(scratch.entries() == 1);
}

TEST_CASE("a file that appears while the run writes is left alone") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  {
    RunFileWriter writer(scratch / "run.h5", false, c, grid, origin);
    write_bytes(scratch / "run.h5", "precious");
    CHECK_THROWS_WITH(writer.finish(1), Contains("has appeared"));
  }
  CHECK(bytes_of(scratch / "run.h5") == "precious");
  CHECK(scratch.entries() == 1);
}

TEST_CASE("two runs do not write the same file") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  const RunFileWriter first(scratch / "run.h5", false, c, grid, origin);
  CHECK_THROWS_WITH(RunFileWriter(scratch / "run.h5", false, c, grid, origin), Contains("another run is writing it"));
  CHECK(std::filesystem::exists(first.part()));
}

TEST_CASE("places where no run file can be") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  CHECK_THROWS_WITH(RunFileWriter(scratch / "absent/run.h5", false, c, grid, origin),
                    Contains("absent/run.h5.part: cannot create: No such file or directory"));
  CHECK_THROWS_WITH(RunFileWriter(scratch / "", false, c, grid, origin), Contains("is a folder"));
  CHECK_THROWS_WITH(RunFileWriter(scratch / "run.xdmf", false, c, grid, origin), Contains("may not end in .xdmf"));
  CHECK(scratch.entries() == 0);
}

TEST_CASE("a broken-off run leaves its frames as .part, or nothing") {
  const ScratchDirectory scratch;
  const Case c = synthetic_case();
  const Grid grid = synthetic_grid();
  CHECK_FALSE(write_unfinished(scratch / "start_only.h5", c, grid, 1));
  CHECK(scratch.entries() == 0);
  CHECK(write_unfinished(scratch / "some.h5", c, grid, 3));
  CHECK(scratch.entries() == 1);
  CHECK_THROWS_WITH(open_run(scratch / "some.h5.part"), Contains("some.h5.part: is unfinished"));

  const RunFileWriter again(scratch / "some.h5", false, c, grid, origin);
  CHECK(again.took_over());
}

TEST_CASE("what is no finished run file of ours is refused with the reason") {
  const ScratchDirectory scratch;
  CHECK_THROWS_WITH(open_run(scratch / "absent.h5"), Contains("absent.h5: cannot open: No such file or directory"));
  CHECK_THROWS_WITH(open_run(scratch / ""), Contains("Is a directory"));
  write_bytes(scratch / "text.h5", "no HDF5");
  CHECK_THROWS_WITH(open_run(scratch / "text.h5"), Contains("is no run file (not HDF5"));

  H5Fclose(H5Fcreate((scratch / "other.h5").c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT));
  CHECK_THROWS_WITH(open_run(scratch / "other.h5"), Contains("of another program"));

  write_whole(scratch / "run.h5", synthetic_case(), synthetic_grid());
  std::filesystem::resize_file(scratch / "run.h5", std::filesystem::file_size(scratch / "run.h5") / 2);
  CHECK_THROWS_AS(open_run(scratch / "run.h5"), FileError);
}

TEST_CASE("a run file of a newer layout is refused") {
  const ScratchDirectory scratch;
  write_whole(scratch / "run.h5", synthetic_case(), synthetic_grid());
  const hid_t file = H5Fopen((scratch / "run.h5").c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  const hid_t attribute = H5Aopen(file, "format_version", H5P_DEFAULT);
  const int newer = run_file_format + 1;
  H5Awrite(attribute, H5T_NATIVE_INT, &newer);
  H5Aclose(attribute);
  H5Fclose(file);
  CHECK_THROWS_WITH(open_run(scratch / "run.h5"), Contains("written by a newer version") && Contains("1.2.3"));
}

TEST_CASE("the sidecar names the run file without its folder and every frame of every mode") {
  const ScratchDirectory scratch;
  write_whole(scratch / "run.h5", synthetic_case(), synthetic_grid());
  const std::string text = bytes_of(scratch / "run.xdmf");
  CHECK_THAT(text, Contains("run.h5:/mode/interrupted/frame/omega_gel"));
  CHECK_THAT(text, !Contains(scratch / ""));
  CHECK_THAT(text, Contains("<Topology TopologyType=\"2DRectMesh\" Dimensions=\"5 4\"/>"));
  CHECK_THAT(text, Contains(">2 0 0 1 1 1 1 4 3</DataItem>"));
  std::size_t times = 0;
  for (std::size_t at = text.find("<Time "); at != std::string::npos; at = text.find("<Time ", at + 1)) ++times;
  CHECK(times == 6);
}
