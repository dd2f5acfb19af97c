#include <cmath>
#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>
#include <functional>

#include <stile/base/table.hpp>
#include <stile/load/touchstone_write.hpp>
#include <stile/sweep/measured_sweep.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

const std::string samples = std::string(STILE_TEST_DATA) + "/load/";

Sweep read(const std::string& text, const std::string& name = "a.s1p", const ReadOptions& options = {}) {
  return read_sweep_text(text, name, options);
}

std::string why_refused(const std::string& text, const std::string& name = "a.s1p") {
  try {
    read(text, name);
  } catch (const ParseError& error) {
    return error.what();
  }
  return "accepted";
}

/// One byte is another, one more, or gone.
void damage(std::string& text, std::size_t at, const std::string& bytes,
            const std::function<std::size_t(std::size_t)>& below) {
  const char byte = bytes[below(bytes.size())];
  switch (below(3)) {
  case 0:
    text[at] = byte;
    break;
  case 1:
    text.insert(at, 1, byte);
    break;
  default:
    text.erase(at, 1);
  }
}

}  // namespace

TEST_CASE("every sample that the standard accepts reads to its values") {
  const Table rows = read_table(read_text_file(samples + "touchstone_expected.csv"), "touchstone_expected.csv");
  std::string last;
  Sweep sweep;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const std::string& file = rows.text(i, "file");
    const std::string& what = rows.text(i, "parameter");
    if (what.size() != 3) continue;  // noise data are left out here
    if (file != last) sweep = read_sweep_file(samples + "touchstone/" + file);
    last = file;
    INFO(file << " " << what << " at " << rows.text(i, "f_hz"));
    const double f = rows.number(i, "f_hz");
    const auto row = static_cast<std::size_t>(what[1] - '1'), column = static_cast<std::size_t>(what[2] - '1');
    bool there = false;
    for (std::size_t k = 0; k < sweep.frequency_hz.size(); ++k) {
      if (std::abs(sweep.frequency_hz[k] - f) > 1e-12 * f) continue;
      there = true;
      const cdouble expected(rows.number(i, "real"), rows.number(i, "imag"));
      CHECK(std::abs(sweep.at(k)[row * sweep.ports + column] - expected) <= 1e-12 * (1.0 + std::abs(expected)));
    }
    CHECK(there);
  }
}

TEST_CASE("every sample that the standard refuses is refused with its line, but for a byte in a comment") {
  const Table rows = read_table(read_text_file(samples + "touchstone_reject.csv"), "touchstone_reject.csv");
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const std::string& file = rows.text(i, "file");
    INFO(file << ": " << rows.text(i, "reason"));
    if (file == "bad_nonascii.s1p") {
      const Sweep sweep = read_sweep_file(samples + "touchstone/" + file);
      CHECK(found(sweep.findings, FindingKind::characters).line == 2);
      continue;
    }
    try {
      read_sweep_file(samples + "touchstone/" + file);
      FAIL("accepted");
    } catch (const ParseError& error) {
      CHECK(error.where.line == static_cast<std::size_t>(rows.number(i, "line")));
      CHECK_THAT(error.what(), Contains(rows.text(i, "words")));
      CHECK(error.where.file == samples + "touchstone/" + file);
    }
  }
}

TEST_CASE("what was written reads back to the last bit") {
  std::mt19937_64 source(5);
  std::uniform_real_distribution<double> uniform(-1.0, 1.0);
  std::vector<load::OnePortPoint> points;
  for (int i = 0; i < 500; ++i)
    points.push_back({1e6 + 1e4 * i + uniform(source), {std::exp(5.0 * uniform(source)), 3e3 * uniform(source)}});
  const Sweep sweep = read(load::write_touchstone_1port(points, {load::TouchstoneKind::z, 73.0}));
  REQUIRE(sweep.frequency_hz.size() == 500);
  const OnePort port = one_port(sweep, {}, judge(sweep));
  for (std::size_t i = 0; i < points.size(); ++i) {
    CHECK(port.frequency_hz[i] == points[i].frequency_hz);
    CHECK(port.z_ohm[i] == points[i].z_ohm);
  }
}

TEST_CASE("a text in blocks of any size reads as a whole one does, whatever ends its lines") {
  const std::string text = "! a\n# MHz S RI R 50\n1 0.1 0.2 ! b\n\n2 0.3 -0.4\n3 0.5 0.6";
  for (const std::string end : {"\n", "\r\n", "\r"}) {
    std::string with_end;
    for (const char c : text) with_end += c == '\n' ? end : std::string(1, c);
    for (const std::size_t size : std::vector<std::size_t>{1, 2, 3, 7, 1000}) {
      SweepReader reader("a.s1p");
      for (std::size_t i = 0; i < with_end.size(); i += size) reader.take(std::string_view(with_end).substr(i, size));
      const Sweep sweep = reader.finish();
      REQUIRE(sweep.frequency_hz == std::vector<double>{1e6, 2e6, 3e6});
      CHECK(sweep.values == std::vector<cdouble>{{0.1, 0.2}, {0.3, -0.4}, {0.5, 0.6}});
      CHECK(sweep.line == std::vector<std::size_t>{3, 5, 6});
    }
  }
}

TEST_CASE("decimal commas and a second pair of columns are read and told") {
  const Sweep sweep = read("# MHZ S MA R 50\n7,0 0,5 10 1E-4 20\n7,1 0,6 20,5 1E-4 20\n");
  CHECK(sweep.frequency_hz == std::vector<double>{7e6, 7.1e6});
  CHECK(std::abs(sweep.values[1]) == Approx(0.6).epsilon(1e-12));
  CHECK(found(sweep.findings, FindingKind::decimal_comma).count == 5);
  CHECK(found(sweep.findings, FindingKind::decimal_comma).line == 2);
  CHECK(found(sweep.findings, FindingKind::columns).line == 2);
}

TEST_CASE("a repeated frequency keeps its first reading, a fall is sorted") {
  const Sweep sweep = read("# MHz S RI R 50\n1 0.1 0\n2 0.2 0\n2 0.25 0\n4 0.4 0\n3 0.3 0\n");
  CHECK(sweep.frequency_hz == std::vector<double>{1e6, 2e6, 3e6, 4e6});
  CHECK(sweep.values[1].real() == 0.2);
  CHECK(sweep.values[2].real() == 0.3);
  const Finding& twice = found(sweep.findings, FindingKind::duplicate);
  CHECK(twice.line == 4);
  CHECK(twice.frequency_hz == 2e6);
  CHECK_THAT(twice.text, Contains("differ by up to 0.05"));
  CHECK(found(sweep.findings, FindingKind::order).line == 6);
  CHECK_THAT(why_refused("# MHz S RI R 50\n3.5 0.1 0.2\n1.8 0.3 0.4\n"),
             Contains("a.s1p:3:1: is below the frequency of line 2"));
}

TEST_CASE("frequencies with too few digits are a rounded column") {
  std::string text = "# GHz S RI R 50\n";
  for (int i = 0; i < 40; ++i) text += fmt::format("{:.3g} 0.1 {}\n", 1.0 + 0.001 * i, 0.001 * i);
  const Sweep sweep = read(text);
  CHECK(sweep.frequency_hz.size() == 5);
  CHECK_THAT(found(sweep.findings, FindingKind::rounding).text, Contains("35 of 40"));
}

TEST_CASE("without an option line the numbers must tell what they are, or somebody else") {
  const Sweep sweep = read("0.2 0.1 -0.2\n0.3 -0.1 0.2\n");
  CHECK(sweep.values[1] == cdouble(-0.1, 0.2));
  CHECK(found(sweep.findings, FindingKind::option_line).line == 1);
  CHECK_THAT(why_refused("1.8 0.1 0.2\n3.5 0.2 0.3\n"), Contains("a.s1p:1:1: no option line before the data"));
  CHECK_THAT(why_refused("1.8 -10 0.2\n3.5 0.2 0.3\n"), Contains("no option line"));
  ReadOptions options;
  options.option_line = "MHz S DB R 75";
  const Sweep stated = read("1.8 -20 0\n3.5 -20 90\n", "a.s1p", options);
  CHECK(stated.frequency_hz.front() == 1.8e6);
  CHECK(stated.values[0].real() == Approx(0.1).epsilon(1e-12));
  CHECK(stated.reference_ohm.front() == 75.0);
}

TEST_CASE("port counts that do not fit are refused with line and column") {
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0.1 0.2 0.3 0.4 0.5 0.6 0.7 0.8\n"),
             Contains("a.s1p:2:11: 9 numbers on a data line; this file of 1 port has 3"));
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0.1 0.2\n", "a.s2p"),
             Contains("a.s2p:2:1: 3 numbers on a data line; this file of 2 ports has 9"));
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0.1 0.2\n2 0.1\n"), Contains("a.s1p:3:1: 2 numbers"));
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0 0 0 0 0 0 0 0\n", "a.s3p"), Contains("a.s3p:2"));
  CHECK_THAT(why_refused("# MHz S RI R 50 75\n1 0.1 0.2\n"), Contains("2 references after R for 1 port"));
}

TEST_CASE("noise data behind the network data are left out") {
  const Sweep sweep =
      read("# MHz S MA R 50\n1 0.1 0 2 0 0.1 0 0.3 0\n2 0.1 0 2 0 0.1 0 0.3 0\n1 0.5 0.3 20 0.2\n", "a.s2p");
  CHECK(sweep.frequency_hz.size() == 2);
  CHECK(sweep.at(0)[2].real() == 2.0);  // S21 stands before S12
  CHECK(found(sweep.findings, FindingKind::noise_block).line == 4);
}

TEST_CASE("tables by the names of their columns") {
  const auto first = [](const Sweep& s) { return s.values.front(); };
  CHECK(first(read("frequency_mhz,r_ohm,x_ohm\n7.1,20,-300\n", "a.csv")) == cdouble(20.0, -300.0));
  CHECK(read("frequency_mhz,r_ohm,x_ohm\n7.1,20,-300\n", "a.csv").frequency_hz.front() == 7.1e6);
  CHECK(std::abs(first(read("frequency_hz;z_ohm;angle_deg\n7e6;100;-90\n", "a.csv")) - cdouble(0.0, -100.0)) < 1e-12);
  CHECK(std::abs(first(read("frequency_khz\treturn_loss_db\tangle_deg\n7000\t20\t180\n", "a.tsv")) + 0.1) < 1e-12);
  CHECK(first(read("# note\nS11_re,s11_im,frequency_hz,more\n0.5,0.25,7e6,x\n", "a.csv")) == cdouble(0.5, 0.25));
  const Sweep comma = read("frequency_mhz;swr\n7,1;2,0\n7,2;3\n", "a.csv");
  CHECK(comma.magnitude_only);
  CHECK(first(comma).real() == Approx(1.0 / 3.0).epsilon(1e-14));
  CHECK(found(comma.findings, FindingKind::decimal_comma).count == 3);
  CHECK_THAT(why_refused("frequency_hz,swr\n7e6,0.9\n", "a.csv"), Contains("a.csv:2:5: an SWR must be at least 1"));
  CHECK_THAT(why_refused("frequency_hz,swr\n7e6\n", "a.csv"), Contains("a.csv:2:1: 1 cell where the heading has 2"));
  CHECK_THAT(why_refused("hertz,swr\n7e6,2\n", "a.csv"),
             Contains("a.csv:1:1: no column of frequencies; legal: frequency_hz"));
  CHECK_THAT(why_refused("frequency_hz,foo\n7e6,2\n", "a.csv"), Contains("no columns that give an impedance"));
}

TEST_CASE("four ports are read as they come, row by row, in blocks of any size") {
  std::string text = "# MHz Z RI R 50\n";
  for (int point = 1; point <= 3; ++point)
    for (int row = 1; row <= 4; ++row) {
      text += row == 1 ? fmt::format("{}", point) : std::string("  ");
      for (int column = 1; column <= 4; ++column) text += fmt::format(" {}.{}{} -0.5", point, row, column);
      text += "\n";
    }
  for (const std::size_t size : std::vector<std::size_t>{1, 5, 1000}) {
    SweepReader reader("a.s4p");
    for (std::size_t i = 0; i < text.size(); i += size) reader.take(std::string_view(text).substr(i, size));
    const Sweep sweep = reader.finish();
    REQUIRE(sweep.frequency_hz == std::vector<double>{1e6, 2e6, 3e6});
    CHECK(sweep.line == std::vector<std::size_t>{2, 6, 10});
    CHECK(sweep.at(1)[4 * 2 + 3] == cdouble(50.0 * 2.34, -25.0));  // Z34
    CHECK(sweep.at(2)[4 * 3 + 0] == cdouble(50.0 * 3.41, -25.0));  // Z41
  }
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0 0 0 0 0 0\n0 0 0 0 0 0\n0 0 0 0 0\n", "a.s3p"),
             Contains("a.s3p:4:1: 5 numbers inside a point; it takes whole pairs"));
  CHECK_THAT(why_refused("# MHz S RI R 50\n1 0 0 0 0 0 0\n0 0 0 0 0 0\n", "a.s3p"),
             Contains("the file ends inside a point: 13 numbers of 19"));
  CHECK_THAT(why_refused("# MHz S MA R 50\n1 0 0 0 0 0 0\n0 0 -1 0 0 0\n0 0 0 0 0 0\n", "a.s3p"),
             Contains("a.s3p:3:5: a magnitude must not be negative"));
  // 1e307 times 50 ohm is no double: told where it stands, though the point is complete a line or two later.
  CHECK_THAT(why_refused("# MHz Z RI R 50\n1 0 0 0 0 0 0\n0 0 0 0 0 0\n1 0 1 0 1e307 0\n", "a.s3p"),
             Contains("a.s3p:4:9: the value times the reference is outside the range of a double"));
  CHECK_THAT(why_refused("# MHz Z RI R 50\n1 0 0 0 0 0 0\n0 1e307 0 0 0 0\n0 0 0 0 0 0\n", "a.s3p"),
             Contains("a.s3p:3:3: the value times the reference"));
  CHECK_THAT(why_refused("# MHz H RI R 50\n1 0 0 0 0 0 0\n0 0 0 0 0 0\n0 0 0 0 0 0\n", "a.s3p"),
             Contains("this file has 3"));
}

TEST_CASE("a cell in quotes may hold separators and quotes, in a column that is left out") {
  const Sweep sweep =
      read("note,frequency_mhz,r_ohm,x_ohm\n\"wet, \"\"very\"\"\",7,1,2\n \"dry\" ,\"7.1\",3,4\n", "a.csv");
  CHECK(sweep.frequency_hz == std::vector<double>{7e6, 7.1e6});
  CHECK(sweep.values == std::vector<cdouble>{{1.0, 2.0}, {3.0, 4.0}});
  CHECK_THAT(why_refused("note,frequency_mhz,r_ohm,x_ohm\n\"wet,7,1,2\n", "a.csv"),
             Contains("a.csv:2:1: a quote that is not closed"));
  CHECK_THAT(why_refused("note,frequency_mhz,r_ohm,x_ohm\n\"wet\" b,7,1,2\n", "a.csv"),
             Contains("text after a closing quote"));
}

// Sweeps of others are not kept here. STILE_REAL_SWEEPS=folder test_sweep '[.real]' runs this over the .s1p and .s2p
// files of a folder; it fails where no folder is named, and ctest leaves it out.
TEST_CASE("real sweeps of a folder are read or refused with a line, judged and made a load", "[.real]") {
  const char* folder = std::getenv("STILE_REAL_SWEEPS");
  REQUIRE(folder != nullptr);
  std::size_t usable = 0, files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string ending = entry.path().extension().string();
    if (ending != ".s1p" && ending != ".s2p") continue;
    ++files;
    INFO(entry.path().string());
    try {
      const Sweep sweep = read_sweep_file(entry.path().string());
      const Judgement judged = judge(sweep);
      CHECK(judged.usable);
      CHECK_FALSE(judged.usable_for.empty());
      if (sweep.magnitude_only) continue;
      const OnePort port = one_port(sweep, {}, judged);
      CHECK(port.caveats.size() == judged.findings.size());
      CHECK(load::load_covers(to_load(port), port.frequency_hz.front()));
      ++usable;
    } catch (const ParseError& error) {
      CHECK(error.where.line > 0);
    }
  }
  CHECK(files > 0);
  CHECK(usable > 0);
}

TEST_CASE("an empty cell of a table is refused at its place") {
  SweepReader reader("a.csv");
  CHECK_THROWS_WITH(reader.take("frequency_mhz,r_ohm,x_ohm\n7,,2\n"),
                    Catch::Contains("a.csv:2:3") && Catch::Contains("\"\" is not a finite decimal number"));
}

TEST_CASE("keyword files in blocks of any size are those that the reader of whole texts reads, broken ones are refused "
          "by both") {
  // Points over several lines, a symmetric matrix, information with a keyword inside, comments, noise data, CR LF.
  const std::vector<std::string> good{
      "! a\n\n[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 21_12\n[Number of "
      "Frequencies] 3\n"
      "[Number of Noise Frequencies] 1\n[Reference] 50\n75\n[Begin Information]\n[Network Data]\n[End Information]\n"
      "[Network Data]\n1 0.1 0.2 0.3 -0.4\n! between\n0.5 0.6 0.7 0.8 2 1 2\n3 4 5 6 7 8 # no effect\n3 1 1 1 1 1 1 1 "
      "1\n"
      "[Noise Data]\n2 1 0.5 30 0.2\n[End]\n! behind\n",
      "[Version] 2.1\r\n# Hz Z MA R 75\r\n[Number of Ports] 3\r\n[Number of Frequencies] 2\r\n[Matrix Format] Lower\r\n"
      "[Network Data]\r\n1e6 1 0\r\n2 10 3 20\r\n4 30 5 40 6 50\r\n2e6 1 0 2 10 3 20 4 30 5 40 6 50\r\n[End]"};
  const std::string bytes = "0123456789.;-+eE#![] \t\n\"RSZabc\x80";
  std::mt19937_64 source(19);
  const auto below = [&](std::size_t n) { return source() % n; };
  int accepted = 0, refused = 0;
  for (int trial = 0; trial < 6000; ++trial) {
    std::string text = good[below(good.size())];
    for (std::size_t change = trial < 200 ? 0 : 1 + below(2); change > 0; --change) {
      const std::size_t at = text.find('[') + 3 + below(text.size() - text.find('[') - 3);
      damage(text, at, bytes, below);
    }
    std::optional<load::TouchstoneFile> whole;
    try {
      whole = load::read_touchstone(text, "a.ts");
    } catch (const ParseError&) {
    }
    std::optional<Sweep> sweep;
    try {
      SweepReader reader("a.ts");
      for (std::size_t at = 0; at < text.size();) {
        const std::size_t size = 1 + below(40);
        reader.take(std::string_view(text).substr(at, size));
        at += size;
      }
      sweep = reader.finish();
    } catch (const ParseError& error) {
      INFO(text);
      CHECK(std::string(error.what()).rfind("a.ts:", 0) == 0);
    }
    INFO(text);
    REQUIRE(sweep.has_value() == whole.has_value());
    if (!whole) {
      ++refused;
      continue;
    }
    ++accepted;
    REQUIRE(sweep->frequency_hz.size() == whole->points.size());
    CHECK(sweep->reference_ohm == whole->reference_ohm);
    CHECK(sweep->format == "Touchstone " + whole->version);
    for (std::size_t i = 0; i < whole->points.size(); ++i) {
      const load::TouchstonePoint& point = whole->points[i];
      CHECK(sweep->frequency_hz[i] == point.frequency_hz);
      CHECK(sweep->line[i] == point.line);
      CHECK(std::equal(point.matrix.begin(), point.matrix.end(), sweep->at(i).begin(), sweep->at(i).end()));
    }
  }
  CHECK(accepted > 400);
  CHECK(refused > 2000);
}

TEST_CASE("a long keyword file is refused where it is wrong, near its end too") {
  std::string text =
      "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 5000\n[Network Data]\n";
  for (int i = 1; i <= 5000; ++i) text += fmt::format("{} 0.1 0.2\n", i);
  CHECK(read(text + "[End]\n", "a.ts").frequency_hz.size() == 5000);
  CHECK_THAT(why_refused(text, "a.ts"), Contains("a.ts:5005: [End] is missing"));
  CHECK_THAT(why_refused(text + "5001 0 0\n[End]\n", "a.ts"),
             Contains("a.ts:5006:1: more data than the 5000 points declared"));
  CHECK_THAT(why_refused(text + "[End]\n[End]\n", "a.ts"), Contains("a.ts:5007:1: only comments may follow [End]"));
  CHECK_THAT(why_refused(text.substr(0, text.size() - 4) + "\n[End]\n", "a.ts"),
             Contains("4999 found and 2 numbers of the 3 of the next"));
  CHECK_THAT(why_refused(text + "[End]\n! \x80\n", "a.ts"), Contains("a.ts:5007:3: byte 0x80"));
}

TEST_CASE("broken texts are read or refused with their place, never worse") {
  // 20000 invented files: a good one with bytes changed, put in, taken out; read in two blocks.
  const std::vector<std::string> good{
      "! a\n# MHz S RI R 50\n1 0.1 0.2\n2 0.3 -0.4\n3 0.5 0.6\n",
      "# Hz Z DB R 75\n1e6 0.1 0.2 1 2 0.5 0.6 0.7 0.8\n2e6 0.3 -0.4 1 2 3 4 5 6\n",
      "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n7 0.1 0\n[End]\n",
      "frequency_mhz,r_ohm,x_ohm\n7,1,2\n7.1,3,4\n", "frequency_mhz;swr\n7,1;2\n7,2;3\n"};
  const std::vector<std::string> names{"a.s1p", "a.s2p", "a.ts", "a.csv", "-"};
  const std::string bytes = "0123456789.,;-+eE#![] \t\n\r\"RSZabc\x80";
  std::mt19937_64 source(9);
  const auto below = [&](std::size_t n) { return source() % n; };
  int readable = 0, refused = 0;
  for (int trial = 0; trial < 20000; ++trial) {
    std::string text = good[below(good.size())];
    for (std::size_t change = below(4); change > 0 && !text.empty(); --change) {
      const std::size_t at = below(text.size());
      damage(text, at, bytes, below);
    }
    SweepReader reader(names[below(names.size())]);
    const std::size_t cut = below(text.size() + 1);
    try {
      reader.take(std::string_view(text).substr(0, cut));
      reader.take(std::string_view(text).substr(cut));
      const Sweep sweep = reader.finish();
      for (std::size_t i = 0; i < sweep.frequency_hz.size(); ++i)
        if (!(sweep.frequency_hz[i] > (i > 0 ? sweep.frequency_hz[i - 1] : -1.0))) FAIL("not rising: " << text);
      if (sweep.ports <= 2) (void)judge(sweep);
      ++readable;
    } catch (const Error&) {
      ++refused;
    }
  }
  CHECK(readable > 2000);
  CHECK(refused > 2000);
}
