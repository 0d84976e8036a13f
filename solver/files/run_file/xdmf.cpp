#include "files/run_file/xdmf.hpp"

#include <fmt/format.h>

namespace dryfront {
namespace {

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string dataset(const std::string& file, const std::string& place, const std::string& shape, int bytes) {
  return fmt::format(R"(<DataItem Dimensions="{}" NumberType="Float" Precision="{}" Format="HDF">{}:{}</DataItem>)",
                     shape, bytes, escaped(file), escaped(place));
}

}  // namespace

std::string xdmf_text(const Case& c, const Grid& grid, std::span<const FieldColumn> fields,
                      std::span<const std::vector<double>> times, const std::string& run_file) {
  constexpr int float32_bytes = 4, float64_bytes = 8;
  const std::string file = run_file.substr(run_file.rfind('/') + 1);  // npos + 1 = 0
  const int rows = grid.rows(), columns = grid.columns();
  std::string text = R"(<?xml version="1.0" ?>
<!DOCTYPE Xdmf SYSTEM "Xdmf.dtd" []>
<Xdmf Version="3.0">
<!-- x is the distance r from the axis or plane of symmetry, y the depth z below the surface, both in metres -->
<Domain>
)";
  for (std::size_t d = 0; d < c.modes.size(); ++d) {
    const std::string& mode = c.modes[d].name;
    text += fmt::format("<Grid Name=\"{}\" GridType=\"Collection\" CollectionType=\"Temporal\">\n", escaped(mode));
    for (std::size_t k = 0; k < times[d].size(); ++k) {
      text += fmt::format("<Grid Name=\"{0} {1}\" GridType=\"Uniform\">\n<Time Value=\"{2}\"/>\n", escaped(mode), k,
                          times[d][k]);
      text += fmt::format("<Topology TopologyType=\"2DRectMesh\" Dimensions=\"{} {}\"/>\n", rows + 1, columns + 1);
      text += fmt::format("<Geometry GeometryType=\"VXVY\">\n{}\n{}\n</Geometry>\n",
                          dataset(file, "/grid/r_face_m", std::to_string(columns + 1), float64_bytes),
                          dataset(file, "/grid/z_face_m", std::to_string(rows + 1), float64_bytes));
      for (const FieldColumn& field : fields) {
        const std::string whole = fmt::format("{} {} {}", times[d].size(), rows, columns);
        text += fmt::format(
            "<Attribute Name=\"{0}\" AttributeType=\"Scalar\" Center=\"Cell\">\n"
            "<DataItem ItemType=\"HyperSlab\" Dimensions=\"{1} {2}\">\n"
            "<DataItem Dimensions=\"3 3\" NumberType=\"Int\" Format=\"XML\">{3} 0 0 1 1 1 1 {1} {2}</DataItem>\n"
            "{4}\n</DataItem>\n</Attribute>\n",
            escaped(field.name), rows, columns, k,
            dataset(file, "/mode/" + mode + "/frame/" + field.name, whole, field.wide ? float64_bytes : float32_bytes));
      }
      text += "</Grid>\n";
    }
    text += "</Grid>\n";
  }
  return text + "</Domain>\n</Xdmf>\n";
}

}  // namespace dryfront
