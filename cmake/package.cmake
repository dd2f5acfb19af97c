# Install, package config, pkg-config and Debian package.
