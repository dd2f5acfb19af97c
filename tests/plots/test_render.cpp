#include <catch2/catch.hpp>

#include <csignal>
#include <filesystem>

#include <sys/resource.h>

#include <stile/base/errors.hpp>
#include <stile/plots/chart.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const Chart simple{300.0, 200.0, "plot x with lines\n"};

unsigned png_width(const std::string& bytes) {  // big-endian at byte 16 (PNG specification, IHDR)
  unsigned width = 0;
  for (std::size_t i = 16; i < 20; ++i) width = 256 * width + static_cast<unsigned char>(bytes.at(i));
  return width;
}

/// No file may grow beyond this; writes beyond it fail instead of raising a signal, as on a full disk.
class FullDisk {
public:
  explicit FullDisk(rlim_t bytes) {
    getrlimit(RLIMIT_FSIZE, &old_);
    signal_ = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{bytes, old_.rlim_max};
    setrlimit(RLIMIT_FSIZE, &limit);
  }
  FullDisk(const FullDisk&) = delete;
  FullDisk& operator=(const FullDisk&) = delete;
  ~FullDisk() {
    setrlimit(RLIMIT_FSIZE, &old_);
    std::signal(SIGXFSZ, signal_);
  }

private:
  rlimit old_{};
  void (*signal_)(int) = nullptr;
};

}  // namespace

TEST_CASE("every chart renders to the three formats and nothing else is left") {
  const std::vector<Chart> charts{samples::smith(), samples::budget(), samples::swr(), samples::budget(12),
                                  samples::swr(12)};
  for (const Chart& chart : charts) {
    const samples::Folder folder;
    const std::vector<std::string> files{folder / "a.png", folder / "b.svg", folder / "c.PDF"};
    const Rendering done = render(chart, files);
    REQUIRE(done.status == RenderStatus::rendered);
    CHECK(done.files == files);
    CHECK(done.script_file.empty());
    CHECK(folder.files() == 3);
    const std::string png = samples::content(files[0]), svg = samples::content(files[1]),
                      pdf = samples::content(files[2]);
    CHECK_THAT(png, StartsWith("\x89PNG\r\n\x1a\n"));
    CHECK(png_width(png) >= 1200);
    CHECK_THAT(svg, StartsWith("<?xml"));
    CHECK_THAT(svg, Contains("</svg>"));
    CHECK_THAT(pdf, StartsWith("%PDF-"));
    CHECK(png.size() > 20000);
    CHECK(svg.size() > 10000);
    CHECK(pdf.size() > 5000);
  }
}

TEST_CASE("equal charts give equal bytes whatever the locale and the time") {
  const samples::Folder folder;
  const auto bytes = [&](const std::string& name, const Chart& chart) {
    const std::vector<std::string> files{folder / (name + ".png"), folder / (name + ".svg"), folder / (name + ".pdf")};
    REQUIRE(render(chart, files).status == RenderStatus::rendered);
    return samples::content(files[0]) + samples::content(files[1]) + samples::content(files[2]);
  };
  for (const Chart& chart : {samples::smith(), samples::budget(), samples::swr()}) {
    const std::string first = bytes("first", chart);
    const samples::Environment zone("TZ", "Asia/Tokyo");
    const samples::Environment language("LC_ALL", "de_DE.UTF-8");
    CHECK(first == bytes("second", chart));
    CHECK_THAT(samples::content(folder / "second.pdf"), Contains("/CreationDate (D:20000101000000"));
  }
}

TEST_CASE("a small chart is made wide enough to print") {
  const samples::Folder folder;
  const std::string file = folder / "small.png";
  render(simple, {file});
  CHECK(png_width(samples::content(file)) >= 1200);
}

TEST_CASE("another extension is refused before anything is written") {
  const samples::Folder folder;
  for (const char* name : {"a.jpg", "a", "a.gp", ".png"}) {
    INFO(name);
    CHECK_THROWS_AS(render(simple, {folder / "good.png", folder / name}), DomainError);
    CHECK_THROWS_WITH(render(simple, {folder / name}), Contains(".png, .svg or .pdf"));
  }
  CHECK_THROWS_AS(render(simple, {}), DomainError);
  CHECK_THROWS_AS(render({0.0, 100.0, ""}, {folder / "a.png"}), DomainError);
  CHECK(folder.files() == 0);
}

TEST_CASE("without gnuplot the script stays and its commands give the charts") {
  const samples::Folder folder;
  const std::vector<std::string> files{folder / "it's $5 \"so\".png", folder / "two.svg", folder / "three.pdf"};
  Rendering result;
  {
    const samples::Environment path("PATH", "/nowhere");
    result = render(samples::swr(), files);
  }
  REQUIRE(result.status == RenderStatus::no_gnuplot);
  CHECK(result.files.empty());
  CHECK(result.script_file == folder / "it's $5 \"so\".gp");
  CHECK(folder.files() == 1);
  REQUIRE(result.commands.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    INFO(result.commands[i]);
    CHECK_THAT(result.commands[i], StartsWith("gnuplot -d -e "));
    CHECK(std::system(result.commands[i].c_str()) == 0);
  }
  const std::string by_hand = samples::content(files[1]);
  CHECK(by_hand.size() > 10000);
  REQUIRE(render(samples::swr(), files).status == RenderStatus::rendered);
  CHECK(samples::content(files[1]) == by_hand);
}

TEST_CASE("a folder that is not there is an error and leaves nothing") {
  const samples::Folder folder;
  CHECK_THROWS_WITH(render(simple, {folder / "good.png", folder / "missing/a.png"}),
                    Contains("missing/a.png: cannot write"));
  CHECK(folder.files() == 0);
  std::filesystem::create_directory(folder / "taken.svg");
  CHECK_THROWS_WITH(render(simple, {folder / "good.png", folder / "taken.svg"}), Contains("folder"));
  CHECK(folder.files() == 1);
}

TEST_CASE("gnuplot's first message is the error and the old file stays") {
  const samples::Folder folder;
  const std::string file = folder / "a.svg";
  samples::write(file, "old");
  CHECK_THROWS_WITH(render({300.0, 200.0, "plot nonsense(x)\nplot worse(x)\n"}, {folder / "b.png", file}),
                    Contains("gnuplot failed: line ") && Contains("undefined function: nonsense"));
  // gnuplot ends with 0 here, but did not draw what was meant.
  CHECK_THROWS_WITH(render({300.0, 200.0, "print 'something odd'\nplot x\n"}, {file}), Contains("something odd"));
  CHECK(samples::content(file) == "old");
  CHECK(folder.files() == 1);
}

TEST_CASE("a full disk is an error in every format and leaves nothing") {
  const samples::Folder folder;
  constexpr rlim_t limit = 16384;  // far more than the script, far less than any picture of it
  const Chart chart{300.0, 200.0, "set samples 5000\nplot '+' using (rand(0)):(rand(0)) with points\n"};
  for (const char* name : {"a.png", "a.svg", "a.pdf"}) {
    INFO(name);
    render(chart, {folder / name});
    REQUIRE(std::filesystem::file_size(folder / name) > 2 * limit);
    std::filesystem::remove(folder / name);
    std::string message = "no error";
    {
      const FullDisk full(limit);
      try {
        render(chart, {folder / name});
      } catch (const Error& error) {
        message = error.what();
      }
    }
    CHECK_THAT(message, Contains(name));
    CHECK(folder.files() == 0);
  }
  {
    const FullDisk full(100);
    CHECK_THROWS_AS(render(chart, {folder / "a.png"}), Error);  // not even the script
  }
  CHECK(folder.files() == 0);
}

TEST_CASE("a target is named relative to the present folder and replaced") {
  const samples::Folder folder;
  const std::filesystem::path before = std::filesystem::current_path();
  std::filesystem::current_path(folder / "");
  samples::write("a.svg", "old");
  const Rendering done = render(simple, {"a.svg"});
  std::filesystem::current_path(before);
  CHECK(done.status == RenderStatus::rendered);
  CHECK_THAT(samples::content(folder / "a.svg"), Contains("</svg>"));
}
