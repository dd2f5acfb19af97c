#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <map>
#include <random>
#include <set>
#include <sstream>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/load/touchstone.hpp>

using namespace stile;
using namespace stile::load;

namespace {

const std::string data = STILE_TEST_DATA "/load/";

TouchstoneFile read_sample(const std::string& name) {
  return read_touchstone(read_text_file(data + "touchstone/" + name), name);
}

ParseError refusal(const std::string& text, const std::string& name) {
  try {
    (void)read_touchstone(text, name);
  } catch (const ParseError& error) {
    return error;
  }
  FAIL("was read: " << name << "\n" << text);
  throw;
}

void check_refused(const std::string& text, const std::string& name, std::size_t line, std::size_t column,
                   const std::string& words) {
  const ParseError error = refusal(text, name);
  INFO(error.what());
  CHECK(error.where.file == name);
  CHECK(error.where.line == line);
  CHECK(error.where.column == column);
  CHECK(std::string(error.what()).find(words) != std::string::npos);
}

const TouchstonePoint* point_at(const TouchstoneFile& file, double f) {
  const auto at =
      std::find_if(file.points.begin(), file.points.end(), [&](const auto& p) { return p.frequency_hz == f; });
  return at == file.points.end() ? nullptr : &*at;
}

const TouchstoneNoisePoint* noise_at(const TouchstoneFile& file, double f) {
  const auto at =
      std::find_if(file.noise.begin(), file.noise.end(), [&](const auto& p) { return p.frequency_hz == f; });
  return at == file.noise.end() ? nullptr : &*at;
}

std::vector<double> references_of(const std::string& text) {
  std::vector<double> values;
  std::size_t start = 0;
  while (start <= text.size()) {
    const std::size_t end = std::min(text.find('|', start), text.size());
    values.push_back(std::stod(text.substr(start, end - start)));
    start = end + 1;
  }
  return values;
}

}  // namespace

TEST_CASE("every row of the expected values is read from its file") {
  const Table rows = read_table(read_text_file(data + "touchstone_expected.csv"), "touchstone_expected.csv");
  std::map<std::string, TouchstoneFile> files;
  std::map<std::string, std::size_t> values_seen;
  std::size_t checked = 0;
  for (std::size_t r = 0; r < rows.rows.size(); ++r) {
    const std::string name = rows.text(r, "file"), parameter = rows.text(r, "parameter"), kind = rows.text(r, "kind");
    INFO(name << " " << parameter << " row " << r);
    if (!files.contains(name)) files[name] = read_sample(name);
    const TouchstoneFile& file = files[name];
    const double f = rows.number(r, "f_hz");
    const cdouble expected{rows.number(r, "real"), rows.number(r, "imag")};
    CHECK(file.reference_ohm.size() == file.ports);
    const auto references = references_of(rows.text(r, "z0"));
    for (std::size_t port = 0; port < file.ports; ++port)
      CHECK(file.reference_ohm[port] == (references.size() == 1 ? references[0] : references[port]));
    cdouble value;
    if (kind == "noise") {
      const TouchstoneNoisePoint* point = noise_at(file, f);
      REQUIRE(point != nullptr);
      value = parameter == "NFmin_dB" ? cdouble(point->minimum_noise_figure_db)
              : parameter == "Gopt"   ? point->optimum_reflection
                                      : cdouble(point->noise_resistance_ohm);
    } else {
      static const std::map<std::string, TouchstoneKind> kinds{{"S", TouchstoneKind::s},
                                                               {"Y", TouchstoneKind::y},
                                                               {"Z", TouchstoneKind::z},
                                                               {"H", TouchstoneKind::h},
                                                               {"G", TouchstoneKind::g}};
      CHECK(file.kind == kinds.at(kind));
      const TouchstonePoint* point = point_at(file, f);
      REQUIRE(point != nullptr);
      const auto row = static_cast<std::size_t>(parameter.at(1) - '1'),
                 column = static_cast<std::size_t>(parameter.at(2) - '1');
      REQUIRE(point->matrix.size() == file.ports * file.ports);
      value = point->matrix.at(row * file.ports + column);
      ++values_seen[name];
    }
    INFO("read " << value << ", expected " << expected);
    CHECK(std::abs(value - expected) <= 1e-12 * std::max(1.0, std::abs(expected)));
    ++checked;
  }
  CHECK(checked == 122);
  for (const auto& [name, file] : files) {
    INFO(name);
    CHECK(values_seen[name] == file.points.size() * file.ports * file.ports);  // nothing more was read
  }
  std::set<std::string> legal;
  for (const auto& entry : std::filesystem::directory_iterator(data + "touchstone")) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with("bad_")) legal.insert(name);
  }
  CHECK(files.size() == legal.size());
  CHECK(files.size() == 21);
}

TEST_CASE("every file of the reject list is refused at the right line") {
  const Table rows = read_table(read_text_file(data + "touchstone_reject.csv"), "touchstone_reject.csv");
  std::size_t refused = 0;
  for (std::size_t r = 0; r < rows.rows.size(); ++r) {
    const std::string name = rows.text(r, "file");
    const ParseError error = refusal(read_text_file(data + "touchstone/" + name), name);
    INFO(error.what());
    CHECK(error.where.file == name);
    CHECK(static_cast<double>(error.where.line) == rows.number(r, "line"));
    CHECK(std::string(error.what()).find(rows.text(r, "words")) != std::string::npos);
    ++refused;
  }
  CHECK(refused == 19);
  std::size_t bad = 0;
  for (const auto& entry : std::filesystem::directory_iterator(data + "touchstone"))
    if (entry.path().filename().string().starts_with("bad_")) ++bad;
  CHECK(bad == refused);
}

TEST_CASE("version is told") {
  CHECK(read_sample("std_v1_z1p.s1p").version == "1.0");
  CHECK(read_sample("std_v2_z1p.ts").version == "2.0");
  CHECK(read_touchstone(
            "[Version] 2.1\n#\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n1 0 0\n[End]", "a.ts")
            .version == "2.1");
  CHECK(read_touchstone("# R 50 75\n1 0 0 0 0 0 0 0 0\n", "a.s2p").version == "1.1");
  check_refused("[Version] 3.0\n#\n", "a.ts", 1, 11, "legal: 2.0, 2.1");
}

TEST_CASE("frequencies are rounded correctly after their unit") {
  const auto file =
      read_touchstone("# MHz S RI\n3.575 0 0\n7.1 0 0\n1.0E1 0 0\n10.1125 0 0\n18.068e+0000 0 0\n", "a.s1p");
  REQUIRE(file.points.size() == 5);
  CHECK(file.points[0].frequency_hz == 3575000.0);
  CHECK(file.points[1].frequency_hz == 7100000.0);
  CHECK(file.points[2].frequency_hz == 10000000.0);
  CHECK(file.points[3].frequency_hz == 10112500.0);
  CHECK(file.points[4].frequency_hz == 18068000.0);
  CHECK(file.points[4].line == 6);
}

TEST_CASE("a byte order mark is skipped and counts in no column") {
  const auto file = read_touchstone("\xEF\xBB\xBF# MHz S RI\n7.1 0.5 0\n", "a.s1p");
  REQUIRE(file.points.size() == 1);
  CHECK(file.points[0].matrix[0] == cdouble(0.5, 0.0));
  check_refused("\xEF\xBB\xBF# MHz S RI x\n7.1 0.5 0\n", "a.s1p", 1, 12, "");
}

TEST_CASE("tolerated oddities are warned about with their line") {
  const auto file = read_touchstone(
      "! head\n  # HZ   S   DB   R   50.00 \n 1.000000000000000E7   -20  0.000000e+000\n#MHz\n", "a.s1p");
  REQUIRE(file.points.size() == 1);
  CHECK(file.points[0].frequency_hz == 1e7);
  CHECK(std::abs(file.points[0].matrix[0] - 0.1) <= 1e-16);
  REQUIRE(file.warnings.size() == 2);
  CHECK(file.warnings[0].line == 2);
  CHECK(file.warnings[1].line == 4);
  const auto glued = read_touchstone("#Hz S RI\n1 0.5 0\n", "a.s1p");
  CHECK(glued.points[0].frequency_hz == 1.0);
  REQUIRE(glued.warnings.size() == 1);
  CHECK(read_sample("std_v2_noise.ts").warnings.empty());
  CHECK(read_sample("edge_second_option.s1p").warnings.size() == 1);
  const auto indented = read_touchstone(
      "[Version] 2.0\n#\n [Number of Ports] 1\n[Number of Frequencies] 1\n  [Network Data]\n1 0 0\n [End]", "a.ts");
  REQUIRE(indented.warnings.size() == 3);
  CHECK(indented.warnings[2].line == 7);
}

TEST_CASE("every kind of line end is one line end") {
  CHECK(read_text_file(data + "touchstone/edge_crlf.s1p").find("\r\n") != std::string::npos);
  for (const std::string end : {"\n", "\r\n", "\r"}) {
    const ParseError error = refusal("# MHz S RI" + end + end + "1 0 0" + end + "x 0 0" + end, "a.s1p");
    CHECK(error.where.line == 4);
    CHECK(error.where.column == 1);
  }
}

TEST_CASE("odd instrument files get a clear refusal") {
  check_refused("# MHZ S MA R  50\n2500,0000  0,98082  153,40\n", "a.s1p", 2, 1, "decimal comma");
  check_refused("# MHZ S MA R 50\n2500 0.98082 153.40 9.881E-5 -158.91\n", "a.s1p", 2, 21,
                "5 numbers on a data line; a file of 1 port has 3");
  check_refused("0.2 0.1 0.2 0 0 0 0 0.1 0\n", "a.s2p", 1, 1, "no option line before the data");
  check_refused("# GHz S RI R 50\n82.5 0 0 0 0 0 0 0 0\n82.5 0 0 0 0 0 0 0 0\n", "a.s2p", 3, 1,
                "repeats the frequency of line 2");
  check_refused("# GHz S MA\n1 -0.5 30\n", "a.s1p", 2, 3, "must not be negative");
  check_refused("# MHz S RI\n1 0 0\n! caf\xC3\xA9\n", "a.s1p", 3, 6, "0xC3");
  check_refused("# MHz S RI\n1 0 0x10\n", "a.s1p", 2, 5, "not a finite decimal number");
  check_refused("# MHz S RI\n1 0 1e999\n", "a.s1p", 2, 5, "range of a double");
  check_refused("# MHz S RI\n-1 0 0\n", "a.s1p", 2, 1, "must not be negative");
  check_refused("", "a.s1p", 1, 0, "no data");
}

TEST_CASE("option line rules") {
  check_refused("# MHz GHz\n1 0 0\n", "a.s1p", 1, 7, "second frequency unit");
  check_refused("# R 50 R 50\n1 0 0\n", "a.s1p", 1, 8, "second reference");
  check_refused("# R MHz\n1 0 0\n", "a.s1p", 1, 5, "R needs a resistance");
  check_refused("# R 50 75 100\n1 0 0 0 0 0 0 0 0\n", "a.s2p", 1, 3, "3 references after R for 2 ports");
  check_refused("# Z R 50 75\n1 0 0 0 0 0 0 0 0\n", "a.s2p", 1, 5, "for S parameters only");
  check_refused("# G\n1 0 0\n", "-", 1, 0, "two ports only");
  const auto file = read_touchstone("# hz R 50 75 s ri\n1 0.1 0 0 0 0 0 0.2 0\n", "a.s2p");
  CHECK(file.reference_ohm == std::vector<double>{50.0, 75.0});
}

TEST_CASE("inverse hybrid parameters are the inverse of the hybrid ones") {
  const auto h = read_sample("edge_hg_normalised_h.s2p").points.at(0).matrix;
  // G = H^-1, written normalised: g11 R, g22 / R (columns: g11 g21 g12 g22).
  const cdouble determinant = h[0] * h[3] - h[1] * h[2];
  const cdouble g11 = h[3] / determinant, g12 = -h[1] / determinant, g21 = -h[2] / determinant,
                g22 = h[0] / determinant;
  std::ostringstream text;
  text.precision(17);
  text << "# MHz G RI R 50\n7.1";
  for (const cdouble v : {g11 * 50.0, g21, g12, g22 / 50.0}) text << ' ' << v.real() << ' ' << v.imag();
  const auto g = read_touchstone(text.str(), "a.s2p").points.at(0).matrix;
  const cdouble back = g[0] * g[3] - g[1] * g[2];
  CHECK(std::abs(g[3] / back - h[0]) <= 1e-12 * std::abs(h[0]));
  CHECK(std::abs(-g[1] / back - h[1]) <= 1e-12);
  CHECK(std::abs(-g[2] / back - h[2]) <= 1e-12);
  CHECK(std::abs(g[0] / back - h[3]) <= 1e-12);
}

TEST_CASE("port count comes from the extension or from the first line and both must agree") {
  CHECK(ports_of_touchstone_name("x/y.S12P") == std::optional<std::size_t>(12));
  CHECK_FALSE(ports_of_touchstone_name("x.sp"));
  CHECK_FALSE(ports_of_touchstone_name("x.s0p"));
  CHECK_FALSE(ports_of_touchstone_name("s1p"));
  CHECK(read_touchstone("#\n1 0 0\n", "-").ports == 1);
  CHECK(read_touchstone("#\n1 0 0 0 0 0 0 0 0\n", "a.txt").ports == 2);
  check_refused("#\n1 0 0 0 0\n", "-", 2, 1, "5 numbers on the first data line");
  check_refused("#\n1 0 0\n", "a.s2p", 2, 1, "3 numbers on a data line; a file of 2 ports has 9");
  check_refused("[Version] 2.0\n#\n[Number of Ports] 2\n", "a.s1p", 3, 1, "the file name says 1");
}

TEST_CASE("three and more ports are read row by row") {
  std::string five = "# Hz S RI\n7";
  int value = 0;
  for (int row = 0; row < 5; ++row) {
    for (int column = 0; column < 5; ++column) {
      five += " " + std::to_string(++value) + " 0";
      if (column == 3) five += "\n";
    }
    five += "\n";
  }
  const auto file = read_touchstone(five, "a.s5p");
  REQUIRE(file.points.size() == 1);
  CHECK(file.warnings.empty());
  for (int k = 0; k < 25; ++k) CHECK(file.points[0].matrix[static_cast<std::size_t>(k)] == cdouble(k + 1.0));

  const auto wide = read_touchstone(
      "# Hz S RI\n1 1 0 2 0 3 0 4 0 5 0\n" + five.substr(five.find('\n', five.find(" 5 0")) + 1), "a.s5p");
  CHECK(wide.points[0].matrix == file.points[0].matrix);
  REQUIRE(wide.warnings.size() == 1);
  CHECK(wide.warnings[0].line == 2);

  check_refused("#\n1 1 0 2 0 3 0 4 0\n", "a.s3p", 2, 1, "each row begins on a new line");
  check_refused("#\n1 1 0 2 0 3 0\n1 0 2 0\n", "a.s3p", 3, 0, "the file ends inside a point");
  check_refused("#\n1 1 0 2 0 3\n", "a.s3p", 2, 1, "takes a frequency and pairs");
  check_refused("#\n1 1 0 2 0 3 0\n1 0 2\n", "a.s3p", 3, 1, "whole pairs");
}

TEST_CASE("noise data of version 1 follow their rules") {
  const std::string head = "#\n2 0 0 0 0 0 0 0 0\n22 0 0 0 0 0 0 0 0\n";
  CHECK(read_touchstone(head + "22 1 .5 0 .4\n", "a.s2p").noise.size() == 1);
  check_refused(head + "23 1 .5 0 .4\n", "a.s2p", 4, 1, "must not be above the last network frequency");
  check_refused(head + "4 1 .5 0 .4\n3 1 .5 0 .4\n", "a.s2p", 5, 1, "strictly increase");
  check_refused(head + "4 1 .5 0 .4\n30 0 0 0 0 0 0 0 0\n", "a.s2p", 5, 1, "9 numbers on a line of the noise data");
  check_refused("#\n4 1 .5 0 .4\n", "a.s2p", 2, 1, "5 numbers");
}

TEST_CASE("keywords of version 2") {
  const std::string head = "[Version] 2.0\n# Hz S RI\n[Number of Ports] 3\n[Number of Frequencies] 1\n";
  const std::vector<cdouble> symmetric{1, 2, 3, 2, 4, 5, 3, 5, 6};
  SECTION("lower and upper halves hold the same matrix") {
    const auto lower =
        read_touchstone(head + "[Matrix Format] Lower\n[Network Data]\n9 1 0\n2 0 4 0\n3 0 5 0 6 0\n[End]\n", "a.ts");
    const auto upper =
        read_touchstone(head + "[Matrix Format] UPPER\n[Network Data]\n9 1 0 2 0 3 0 4 0\n5 0\n6 0\n[End]\n", "a.ts");
    CHECK(lower.points.at(0).matrix == symmetric);
    CHECK(upper.points.at(0).matrix == symmetric);
  }
  SECTION("references may run over lines and an information block is skipped") {
    const auto file = read_touchstone(
        head + "[Reference] 50\n75 ! two\n100\n[Begin Information]\n[Manufacturer] x\n1 2 3\n# GHz\n"
               "[End Information]\n[Matrix Format] Lower\n[Network Data]\n9 1 0 2 0 4 0 3 0 5 0 6 0\n[End]\n! tail\n",
        "a.ts");
    CHECK(file.reference_ohm == std::vector<double>{50, 75, 100});
    CHECK(file.points.at(0).frequency_hz == 9.0);
    CHECK(file.warnings.empty());
  }
  SECTION("what is refused") {
    check_refused(head + "[Reference] 50 75\n[Network Data]\n", "a.ts", 5, 1, "2 references for 3 ports");
    check_refused(head + "[Reference] 50 75 1 2\n[Network Data]\n", "a.ts", 5, 21, "more references");
    check_refused(head + "[Two-Port Data Order] 12_21\n", "a.ts", 5, 1, "two ports only");
    check_refused(head + "[Mixed-Mode Order] D2,3 C2,3 S1\n", "a.ts", 5, 1, "mixed-mode data are not supported");
    check_refused(head + "[Number of Frequencies] 2\n", "a.ts", 5, 1, "once only");
    check_refused(head + "[Frobnicate] 2\n", "a.ts", 5, 1, "[frobnicate]");
    check_refused(head + "[Matrix Format] Diagonal\n", "a.ts", 5, 17, "legal: Full, Lower, Upper");
    check_refused(head + "[Matrix Format]Full\n", "a.ts", 5, 16, "separated by a blank");
    check_refused(head + "[Number of Noise Frequencies] 1\n", "a.ts", 5, 1, "two ports only");
    check_refused(head + "1 2 3\n", "a.ts", 5, 1, "data before [Network Data]");
    check_refused(head + "[Begin Information]\n", "a.ts", 5, 1, "without [End Information]");
    check_refused(head, "a.ts", 4, 0, "[Network Data] is missing");
    check_refused("[Version] 2.0\n[Number of Ports] 1\n", "a.ts", 2, 1, "option line must follow");
    check_refused("[Version] 2.0\n# R 50 75\n", "a.ts", 2, 3, "several references");
    check_refused("[Number of Ports] 1\n", "a.ts", 1, 1, "first keyword must be [Version]");
    check_refused("[Version] 2.0\n#\n[Number of Ports] 1.5\n", "a.ts", 3, 19, "whole number");
  }
  SECTION("noise data need their count and the count needs noise data") {
    std::string text = read_text_file(data + "touchstone/std_v2_noise.ts");
    const std::string count = "[Number of Noise Frequencies] 2\n";
    std::string without = text;
    without.erase(without.find(count), count.size());
    check_refused(without, "a.ts", 10, 1, "needs [Number of Noise Frequencies]");
    std::string no_block = text.substr(0, text.find("[Noise Data]")) + "[End]\n";
    check_refused(no_block, "a.ts", 11, 0, "[Noise Data] is missing");
    std::string more = text;
    more.insert(more.find("[End]"), "20 1 .5 0 20\n");
    check_refused(more, "a.ts", 14, 1, "more data than the 2 noise points");
  }
}

TEST_CASE("damaged files are read or refused and never worse") {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(data + "touchstone")) paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  std::mt19937 random(4711);
  const auto below = [&](std::size_t n) { return random() % n; };
  static const std::string common = "0123456789.eE+-# \t\n\r![]RSZHGmazdbri_,\x80";
  std::size_t read = 0, refused = 0;
  for (const auto& path : paths) {
    const std::string original = read_text_file(path.string());
    for (int round = 0; round < 400; ++round) {
      std::string text = original;
      for (auto edits = 1 + below(3); edits > 0 && !text.empty(); --edits) {
        const std::size_t at = below(text.size());
        const char byte = below(4) == 0 ? static_cast<char>(below(256)) : common[below(common.size())];
        switch (below(5)) {
        case 0:
          text[at] = byte;
          break;
        case 1:
          text.insert(at, 1, byte);
          break;
        case 2:
          text.erase(at, 1 + below(3));
          break;
        case 3:
          text.insert(below(text.size()), text.substr(at, 1 + below(40)));
          break;
        default:
          text.erase(at, below(40));
          break;
        }
      }
      try {
        const auto file = read_touchstone(text, path.filename().string());
        ++read;
        bool sound = !file.points.empty() && file.reference_ohm.size() == file.ports;
        for (std::size_t i = 0; i < file.points.size(); ++i) {
          sound = sound && file.points[i].matrix.size() == file.ports * file.ports;
          sound = sound && (i == 0 || file.points[i].frequency_hz > file.points[i - 1].frequency_hz);
          for (const cdouble v : file.points[i].matrix)
            sound = sound && std::isfinite(v.real()) && std::isfinite(v.imag());
        }
        if (!sound) FAIL_CHECK("unsound result from\n" << text);
      } catch (const ParseError& error) {
        ++refused;
        if (error.where.line == 0) FAIL_CHECK("a refusal without a line: " << error.what() << "\n" << text);
      }
    }
  }
  INFO(read << " read, " << refused << " refused");
  CHECK(read > 500);
  CHECK(refused > 1000);
  CHECK(read + refused == paths.size() * 400);
}
