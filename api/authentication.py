"""How a program signs in."""

from rest_framework import authentication


class TokenAuthentication(authentication.TokenAuthentication):
    """`Authorization: Bearer <token>`; the token is made and revoked on the account page."""

    keyword = "Bearer"
