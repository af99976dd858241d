"""The ground under the app: settings, addresses, start-up checks, serving."""
