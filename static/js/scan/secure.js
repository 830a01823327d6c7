// Only the browser knows whether it trusts this page enough for camera and pages without signal.
for (const words of document.querySelectorAll("[data-insecure]")) words.hidden = isSecureContext;
for (const words of document.querySelectorAll("[data-secure]")) words.hidden = !isSecureContext;
