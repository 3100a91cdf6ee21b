// Draws a picture into the file a person named.
#pragma once

#include <string>

#include "files/text_file.h"
#include "print/picture.h"

namespace runtrue {

// The kind goes by the file's ending. Errors: those of picture_kind_of, picture_of and write_file;
// after one the file is as it was.
template <typename Picture>
[[nodiscard]] Result<void> draw(const Picture& picture, const std::string& path) {
  RUNTRUE_TRY(const PictureKind kind, picture_kind_of(path));
  RUNTRUE_TRY(const std::string bytes, picture_of(picture, kind));
  return write_file(path, bytes);
}

}  // namespace runtrue
