#include "print/picture.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

namespace runtrue {
namespace {

tl::unexpected<Error> cannot_write(const std::string& path, const std::string& why) {
  return failure(ErrorKind::kEnvironment,
                 fmt::format("cannot be written ({}), expected a file name in a folder that can be "
                             "written",
                             why),
                 {path, 0, 0});
}

}  // namespace

Result<PictureKind> picture_kind_of(std::string_view path) {
  std::string ending(path.substr(std::min(path.size(), path.find_last_of('.'))));
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (ending == ".svg") return PictureKind::kSvg;
  if (ending == ".pdf") return PictureKind::kPdf;
  if (ending == ".png") return PictureKind::kPng;
  return bad_input("unknown kind of picture, expected a name that ends in .svg, .pdf or .png",
                   {std::string(path), 0, 0});
}

Result<void> write_whole_file(const std::string& path, std::string_view bytes) {
  std::error_code error;
  if (std::filesystem::is_directory(path, error)) return cannot_write(path, "it is a folder");
  // A pipe or a device is written straight; a file beside its place and then moved there.
  const bool exists = std::filesystem::exists(path, error);
  const bool plain = !exists || std::filesystem::is_regular_file(path, error);
  const std::string target = plain ? fmt::format("{}.{}.part", path, ::getpid()) : path;
  std::FILE* file = std::fopen(target.c_str(), "wb");
  if (file == nullptr) return cannot_write(path, std::strerror(errno));
  bool written = std::fwrite(bytes.data(), 1, bytes.size(), file) == bytes.size();
  written = std::fclose(file) == 0 && written;
  if (plain) {
    if (written) written = std::rename(target.c_str(), path.c_str()) == 0;
    if (!written) {
      const std::string why = std::strerror(errno);
      std::remove(target.c_str());
      return cannot_write(path, why);
    }
  }
  return written ? Result<void>{} : cannot_write(path, std::strerror(errno));
}

Result<void> draw_forecast(const ForecastPicture& picture, const std::string& path) {
  RUNTRUE_TRY(const PictureKind kind, picture_kind_of(path));
  RUNTRUE_TRY(const std::string bytes, picture_of(picture, kind));
  return write_whole_file(path, bytes);
}

Result<void> draw_truing(const TruingPicture& picture, const std::string& path) {
  RUNTRUE_TRY(const PictureKind kind, picture_kind_of(path));
  RUNTRUE_TRY(const std::string bytes, picture_of(picture, kind));
  return write_whole_file(path, bytes);
}

}  // namespace runtrue
