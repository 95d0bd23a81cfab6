# How CPack makes a Debian package of what is installed. Policy: Debian Policy Manual 4.6.
set(TRAYWORTH_MAINTAINER "The trayworth authors <trayworth@example.org>" CACHE STRING
    "Who answers for the packages that are built, as \"Name <address>\"")

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME trayworth)
set(CPACK_PACKAGE_VENDOR "the trayworth authors")
set(CPACK_PACKAGE_CONTACT "${TRAYWORTH_MAINTAINER}")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "grade, weigh and value finished opal cabochons")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
    OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)

set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION non-free/misc)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON) # what the binary is linked against, and no more
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_DESCRIPTION
"Reads grading records of finished opal cabochons, names each stone by the
published nomenclature, weighs it or estimates its weight, and applies a price
matrix, a plain file of the user's, to give a range of value with the reasons
that compute it. Stones are described with what has to be disclosed, offered
for sale, and judged for recutting.
.
The prices that come with it are invented for the demonstration. What it
prints is an estimate for pricing stock, not an appraisal.")

set(CPACK_PRE_BUILD_SCRIPTS ${CMAKE_CURRENT_LIST_DIR}/debian_files.cmake)
include(CPack)
